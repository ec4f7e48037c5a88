// What held off, how long and how often, from what the core said; and what tripped.
import { describe, expect, test } from "vitest";
import { heldOff, type Said, tripped } from "#host/bench/loop/watches.ts";
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";

const bit = (id: string): number => 1 << INTERLOCKS.findIndex((row) => row.id === id);
const said = (s: number, reasons: number, trip?: string): Said => ({
  s,
  mode: "armed",
  trip,
  reasons,
  flowing: 0,
});
const SAID = [
  said(0, bit("WOT") | bit("RPM-WIN")),
  said(2, bit("RPM-WIN")),
  said(3, 0),
  said(4, bit("WOT")),
  said(5, bit("WOT") | bit("RPM-WIN")),
  said(6, 0, "FUEL-LOW"),
  said(7, 0, "FUEL-LOW"),
];

describe("what held off", () => {
  test("counts each spell once, also when other reasons come and go", () => {
    expect(heldOff(SAID, 0, 8)).toEqual([
      { id: "WOT", forS: 4, times: 2, firstS: 0 },
      { id: "RPM-WIN", forS: 4, times: 2, firstS: 0 },
    ]);
  });

  test("only between the two times", () => {
    expect(heldOff(SAID, 2.5, 4.5)).toEqual([
      { id: "RPM-WIN", forS: 0.5, times: 1, firstS: 2.5 },
      { id: "WOT", forS: 0.5, times: 1, firstS: 4 },
    ]);
    expect(heldOff(SAID, 6, 8)).toEqual([]);
  });
});

test("what tripped is named once", () => {
  expect(tripped(SAID)).toEqual(["FUEL-LOW"]);
  expect(tripped(SAID.slice(0, 5))).toEqual([]);
});
