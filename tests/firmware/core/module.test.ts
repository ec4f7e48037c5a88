// What the control core's module may be made of: five imports, integers only, a memory that never grows, nothing allocated.
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import wabt from "wabt";
import { CORE_MEMORY_BYTES } from "#shared-schema/model/blocks.ts";
import { flowingCar, smallSettings, ticks } from "../../oracle/stand.ts";
import { coreModuleFile } from "../../support/core-module.ts";

const PAGE_BYTES = 65_536;
const bytes = new Uint8Array(readFileSync(coreModuleFile()));
const text = (await wabt())
  .readWasm(bytes, { readDebugNames: false })
  .toText({ foldExprs: false, inlineExport: false });
const lines = text.split("\n").map((line) => line.trim());

describe("the module of the control core", () => {
  test("asks the board layer for five things and nothing else", () => {
    const imports = lines
      .filter((line) => line.startsWith("(import"))
      .map((line) => line.split('"').slice(1, 4));
    const names = imports.map(([module, , name]) => `${module}.${name}`).sort();
    expect(names).toEqual([
      "board.flashErase",
      "board.flashProgram",
      "board.flashRead",
      "board.restart",
      "board.setBaud",
    ]);
  });

  test("has no floating point, no 64-bit division and no indirect call", () => {
    const forbidden = lines.filter((line) => /\bf(32|64)\b|i64\.(div|rem)|call_indirect/.test(line));
    expect(forbidden).toEqual([]);
    expect(lines.filter((line) => line.startsWith("i32.")).length).toBeGreaterThan(1000);
  });

  test("has a memory of fixed size that holds what the board gives it, and no start function", () => {
    const memory = lines.find((line) => line.startsWith("(memory"));
    const [least, most] =
      /(\d+) (\d+)\)$/
        .exec(memory ?? "")
        ?.slice(1)
        .map(Number) ?? [];
    expect(least).toBe(most);
    expect(PAGE_BYTES * (least ?? 0)).toBeGreaterThanOrEqual(CORE_MEMORY_BYTES);
    expect(lines.filter((line) => /memory\.grow|\(start/.test(line))).toEqual([]);
  });

  test("touches no byte past what the board gives it", () => {
    const car = flowingCar(smallSettings());
    const beyond = new Uint8Array(car.rig.core.memory.buffer, CORE_MEMORY_BYTES);
    beyond.fill(0x5a);
    ticks(car, 2000);
    expect(beyond.every((byte) => byte === 0x5a)).toBe(true);
  });
});
