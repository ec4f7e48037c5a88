// Whoever adds a row to a table is told of every place that has to know: what the compiler cannot see is walked here.
import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { readStored, writeStored } from "#host/settings/stored.ts";
import { findUnit } from "#host/units/lookup.ts";
import { LOG_COLUMNS, LOG_PAGE, LOG_RECORD_BYTES } from "#shared-schema/link/columns.ts";
import { MESSAGES } from "#shared-schema/link/messages.ts";
import { CORE_MEMORY_BYTES, CORE_MEMORY_EDGE, LOG_RING, PAGE_RING } from "#shared-schema/model/blocks.ts";
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";
import { upper } from "#shared-schema/model/layout.ts";
import { ADC_A } from "#shared-schema/model/pins.ts";
import { UNITS } from "#shared-schema/model/units.ts";
import { AXES } from "#shared-schema/settings/choices.ts";

const CORE = readdirSync("firmware/core")
  .filter((file) => file.endsWith(".ts"))
  .map((file) => readFileSync(`firmware/core/${file}`, "utf8"))
  .join("\n");
const BOARD = readFileSync("firmware/board/board.h", "utf8");

/** Rows that the core acts on without naming their number, and who does. */
const NO_NUMBER: Readonly<Record<string, string>> = {
  DRIVELINE: "judgeDriveline",
  LINK: "REFUSAL_NOT_OFF",
  HANG: "watchdog_feed",
  TRAP: "board_trap",
};

/** What of `names` the sources of the core do not contain as a whole word. */
const unnamed = (names: readonly string[]): string[] =>
  names.filter((name) => !new RegExp(`\\b${name}\\b`).test(CORE));

describe("the core names", () => {
  test("every interlock", () => {
    const missing = unnamed(INTERLOCKS.map(({ id }) => `LOCK_${upper(id)}`));
    expect(missing.sort()).toEqual(
      Object.keys(NO_NUMBER)
        .map((id) => `LOCK_${id}`)
        .sort(),
    );
    for (const [id, name] of Object.entries(NO_NUMBER))
      expect([id, new RegExp(`\\b${name}\\b`).test(`${CORE}\n${BOARD}`)]).toEqual([id, true]);
  });

  test("every axis, message, column of the log and channel of the sensors' converter", () => {
    expect(unnamed(AXES.map((axis) => `AXIS_${upper(axis)}`))).toEqual([]);
    expect(unnamed(MESSAGES.map(({ name }) => `MESSAGE_${upper(name)}`))).toEqual([]);
    expect(unnamed(LOG_COLUMNS.map(({ name }) => `record\\.${name}`))).toEqual([]);
    expect(unnamed(ADC_A.map((name) => `ADC_${upper(name)}`))).toEqual([]);
  });
});

describe.each(Object.entries(UNITS))("the stored unit %s", (suffix, unit) => {
  test("has its own name as its suffix, and a written unit that the host knows", () => {
    expect(unit.suffix).toBe(suffix);
    expect(findUnit(unit.written, [])).toBeDefined();
  });

  test("reads back what it writes", () => {
    for (const raw of [0, 1, 7, 999, 60_000])
      expect(readStored(writeStored(raw, { unit, difference: false }), { unit, difference: false })).toBe(
        raw,
      );
  });
});

test("both rings of the log lie in memory that the board has, one behind the other", () => {
  const recordsEnd = LOG_RING.address + LOG_RING.records * LOG_RECORD_BYTES;
  expect(recordsEnd).toBeLessThanOrEqual(PAGE_RING.address);
  const end = PAGE_RING.address + PAGE_RING.pages * LOG_PAGE.memoryBytes;
  expect(end).toBeLessThanOrEqual(CORE_MEMORY_BYTES - CORE_MEMORY_EDGE);
});
