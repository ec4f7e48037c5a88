// Control core, AssemblyScript to WebAssembly: no float, heap or start function asked for, data above the shared blocks.
import { mkdirSync, writeFileSync } from "node:fs";
import { dirname } from "node:path";
import { CORE_DATA_ADDRESS } from "#shared-schema/model/blocks.ts";
import { compileAssembly } from "./assembly.ts";

/** Room of the core's main state, which comes first: its address must be known to firmware/wasm-runtime. */
const STATE_BYTES = 512;
const OPTIONS = [
  ...["--optimizeLevel", "3", "--shrinkLevel", "1", "--converge", "--noAssert"],
  ...["--runtime", "stub", "--use", "abort=", "--initialMemory", "3", "--maximumMemory", "3"],
  ...["--memoryBase", String(CORE_DATA_ADDRESS + STATE_BYTES)],
];

/** Compiles the core whose entry file is `entry` (from `root`) and writes it to `wasmFile`. Throws the compiler's words. */
export async function compileCore(root: string, entry: string, wasmFile: string): Promise<void> {
  const code = await compileAssembly(root, entry, OPTIONS);
  mkdirSync(dirname(wasmFile), { recursive: true });
  writeFileSync(wasmFile, code);
}
