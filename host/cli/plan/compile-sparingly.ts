// Keeps the optimizing compiler from costing more than the plan: it would put whole runs into one function, again and again.
import { setFlagsFromString } from "node:v8";

/** The major version of V8 that this was measured with: others may not know the flag. */
const MEASURED_V8 = "11";
const FLAG = "--max-inlined-bytecode-size-cumulative=200";

/** Lets functions that are compiled from now on take in less of those that they call. Changes how fast, never what is computed. */
export function compileSparingly(v8 = process.versions.v8, set = setFlagsFromString): void {
  if (v8.split(".")[0] === MEASURED_V8) set(FLAG);
}
