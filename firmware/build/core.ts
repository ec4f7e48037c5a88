// Control core, AssemblyScript to WebAssembly: no float, heap or start function asked for, data above the shared blocks.
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { dirname, resolve } from "node:path";
import asc from "assemblyscript/asc";
import { CORE_DATA_ADDRESS } from "#shared-schema/model/blocks.ts";

/** Marks a function that is to be put in place of its calls; the compiler's own mark is no TypeScript. */
const INLINE = /^\/\/ @inline$/gm;
/** Room of the core's main state, which comes first: its address must be known to firmware/wasm-runtime. */
const STATE_BYTES = 512;
const OPTIONS = [
  ...["--optimizeLevel", "3", "--shrinkLevel", "1", "--converge", "--noAssert"],
  ...["--runtime", "stub", "--use", "abort=", "--initialMemory", "3", "--maximumMemory", "3"],
  ...["--memoryBase", String(CORE_DATA_ADDRESS + STATE_BYTES)],
];

/** Compiles the core whose entry file is `entry` (from `root`) and writes it to `wasmFile`. Throws the compiler's words. */
export async function compileCore(root: string, entry: string, wasmFile: string): Promise<void> {
  const text: string[] = [];
  const note = { write: (chunk: string) => text.push(chunk) > 0 };
  const { error } = await asc.main([entry, ...OPTIONS, "--outFile", "core.wasm"], {
    stdout: note,
    stderr: note,
    readFile: (name, base) => readIfThere(resolve(root, base, name))?.replace(INLINE, "@inline") ?? null,
    writeFile: (_name, contents) => write(wasmFile, contents),
    listFiles: () => null,
  });
  if (error) throw new Error(`control core: ${error.message}\n${text.join("")}`);
}

function readIfThere(path: string): string | null {
  try {
    return readFileSync(path, "utf8");
  } catch {
    return null;
  }
}

function write(path: string, contents: Uint8Array | string): void {
  mkdirSync(dirname(path), { recursive: true });
  writeFileSync(path, contents);
}
