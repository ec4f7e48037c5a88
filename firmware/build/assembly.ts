// AssemblyScript to WebAssembly: the compiler with its words, and the mark for functions that stand in place of their calls.
import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import asc from "assemblyscript/asc";

/** Marks a function that is to be put in place of its calls; the compiler's own mark is no TypeScript. */
const INLINE = /^\/\/ @inline$/gm;

function readIfThere(path: string): string | null {
  try {
    return readFileSync(path, "utf8");
  } catch {
    return null;
  }
}

/** Compiles the program whose entry file is `entry` (from `root`). Throws the compiler's words. */
export async function compileAssembly(
  root: string,
  entry: string,
  options: readonly string[],
): Promise<Uint8Array> {
  const text: string[] = [];
  const note = { write: (chunk: string) => text.push(chunk) > 0 };
  let code: Uint8Array | undefined;
  const { error } = await asc.main([entry, ...options, "--outFile", "code.wasm"], {
    stdout: note,
    stderr: note,
    readFile: (name, base) =>
      readIfThere(resolve(root, base, name.replace(/\.ts\.ts$/, ".ts")))?.replace(INLINE, "@inline") ?? null,
    writeFile: (_name, contents) => {
      code = contents as Uint8Array;
    },
    listFiles: () => null,
  });
  if (error || !code) throw new Error(`${entry}: ${error?.message}\n${text.join("")}`);
  return code;
}
