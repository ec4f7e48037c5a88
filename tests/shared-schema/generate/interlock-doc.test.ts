// docs/interlocks.md tells every row of the catalogue.
import { test } from "@fast-check/vitest";
import { expect } from "vitest";
import { interlockDoc } from "#shared-schema/generate/interlock-doc.ts";
import { longestTime } from "#shared-schema/model/interlock-text.ts";
import { INTERLOCKS, interlockNumber } from "#shared-schema/model/interlocks.ts";
import { tableRows } from "../../support/markdown.ts";

const rows = tableRows(interlockDoc()).filter((cells) => /^\d+$/.test(cells[0]!));
const lock = (id: string) => INTERLOCKS[interlockNumber(id)]!;

test("one row for each interlock, in the order of their numbers", () => {
  expect(rows).toHaveLength(INTERLOCKS.length);
  INTERLOCKS.forEach(({ id, cause, reaction, remedy }, number) => {
    const cells = rows[number]!;
    expect(cells.slice(0, 4)).toEqual([String(number), `**${id}**`, cause, reaction]);
    expect(cells[6]).toBe(remedy);
  });
});

test("longest times in units that people read", () => {
  expect(longestTime(lock("ARM"))).toBe("10 us");
  expect(longestTime(lock("WOT"))).toBe("2 ms");
  expect(longestTime(lock("RPM-WIN"))).toBe("2 ms after the next engine pulse");
  expect(longestTime(lock("RPM-LOST"))).toContain("three engine pulse periods, 60 ms at most");
  expect(longestTime(lock("SETTINGS"))).toBe("nothing can flow");
});

test("what switches a row on is told in the keys of a settings file", () => {
  expect(rows[interlockNumber("MAP-WIN")]![5]).toBe("`windows.manifold`");
  expect(rows[interlockNumber("SPEED-WIN")]![5]).toBe("`windows.road-speed`");
});
