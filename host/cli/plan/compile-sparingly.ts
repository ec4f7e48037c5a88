// Keeps the optimizing compiler from costing more than the plan: it would put whole runs into one function, again and again.
import { setFlagsFromString } from "node:v8";

/** The major version of V8 that this was measured with: others may not know the flag. */
const MEASURED_V8 = "11";
/** Join less; and let a function run for longer, in bytes of bytecode, before it is thought worth compiling. */
const FLAGS = ["--max-inlined-bytecode-size-cumulative=100", "--interrupt-budget=300000"];

/** Lets fewer functions be compiled from now on, which take in less of those that they call. Changes how fast, never what is computed. */
export function compileSparingly(v8 = process.versions.v8, set = setFlagsFromString): void {
  if (v8.split(".")[0] === MEASURED_V8) for (const flag of FLAGS) set(flag);
}
