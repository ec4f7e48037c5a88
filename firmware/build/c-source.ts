// WebAssembly to C for bare metal: wasm2c's output with its own block of operations replaced by wasm-runtime/wasm-ops.h
// and each address split into base and offset, so that a bounds check is one comparison. Any other wasm2c is refused.
import { createHash } from "node:crypto";
import { readFileSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { run } from "./run.ts";

/** SHA-256 of the block before the module in the output of wasm2c 1.0.39; another block wants another wasm-ops.h. */
const KNOWN_PREAMBLE = "1e3c6e0872bd28ccf632e4d63eaa3efff81001c242cca7a885505ad2565e64cc";
const PREAMBLE_LAST_MACRO = "#else\n#define WEAK_FUNC_DECL";
const END_OF_CONDITIONAL = "#endif\n";
const ADDRESS = /_default32\(&instance->w2c_memory, \(u64\)\((\w+)\)(?: \+ (\d+)u?)?/g;

/** Writes core.c and core.h, made from `wasmFile`, into `folder`. */
export function writeCSource(wasmFile: string, folder: string): void {
  const tool = createRequire(import.meta.url).resolve("wabt/bin/wasm2c");
  const source = join(folder, "core.c");
  run(process.execPath, [tool, wasmFile, "--module-name=core", "-o", source], folder);
  writeFileSync(source, adapt(readFileSync(source, "utf8")));
}

/** The module's own part of wasm2c's output, on our operations. Throws when the rest is not what it was written for. */
export function adapt(generated: string): string {
  const from = generated.indexOf(PREAMBLE_LAST_MACRO);
  const end = generated.indexOf(END_OF_CONDITIONAL, from) + END_OF_CONDITIONAL.length;
  const sum = createHash("sha256").update(generated.slice(0, end)).digest("hex");
  if (from < 0 || sum !== KNOWN_PREAMBLE) {
    throw new Error(
      `wasm2c wrote another block of operations (${sum}): compare it with firmware/wasm-runtime`,
    );
  }
  const module = generated.slice(end).replace(ADDRESS, (_, base, offset = "0") => `(${base}, ${offset}u`);
  return `#include "core.h"\n#include "wasm-runtime/wasm-ops.h"\n${module}`;
}
