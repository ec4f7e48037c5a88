// The adaption of wasm2c's output: what it rewrites, and that another wasm2c is refused rather than half adapted.
import { execFileSync } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import wabt from "wabt";
import { adapt } from "#firmware/build/c-source.ts";
import { tempFolder } from "../../support/temp-folder.ts";

const folder = tempFolder();

const MODULE = `(module (memory (export "memory") 1 1)
  (func (export "at") (param i32) (result i32)
    (i32.store offset=12 (i32.const 64) (i32.load8_u (local.get 0)))
    (i32.load16_s offset=4 (local.get 0))))`;

async function generated(): Promise<string> {
  const { parseWat } = await wabt();
  writeFileSync(join(folder, "m.wasm"), parseWat("m.wat", MODULE).toBinary({}).buffer);
  const tool = createRequire(import.meta.url).resolve("wabt/bin/wasm2c");
  execFileSync(process.execPath, [tool, "m.wasm", "--module-name=core", "-o", "core.c"], { cwd: folder });
  return readFileSync(join(folder, "core.c"), "utf8");
}

describe("adapt", async () => {
  const text = await generated();

  test("every address is a base and an offset", () => {
    const adapted = adapt(text);
    expect(adapted).toContain("i32_load8_u(var_i1, 0u)");
    expect(adapted).toContain("i32_store(var_i0, 12u, var_i1)");
    expect(adapted).toContain("i32_load16_s(var_i0, 4u)");
    expect(adapted).not.toContain("(u64)");
  });

  test("wasm2c's own operations are gone", () => {
    const adapted = adapt(text);
    expect(adapted).not.toContain("DEFINE_LOAD");
    expect(adapted.split("\n").slice(0, 2)).toEqual([
      '#include "core.h"',
      '#include "wasm-runtime/wasm-ops.h"',
    ]);
  });

  test("another block of operations is refused", () => {
    expect(() => adapt(text.replace("DEFINE_LOAD(i32_load,", "DEFINE_LOAD( i32_load,"))).toThrow(
      "another block of operations",
    );
    expect(() => adapt("int main(void) {}")).toThrow("another block of operations");
  });
});
