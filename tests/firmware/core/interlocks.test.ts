// Every interlock of the catalogue that works: its cause, its reaction, its time in ticks, what brings flow back.
import { describe, expect, test } from "vitest";
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";
import { HOLDS } from "./interlocks-hold.ts";
import { OTHERS } from "./interlocks-other.ts";
import { TRIPS } from "./interlocks-trip.ts";

const CASES = { ...HOLDS, ...TRIPS, ...OTHERS };

describe("interlocks", () => {
  test("every row has a case, and every case a row", () => {
    expect(Object.keys(CASES).sort()).toEqual(INTERLOCKS.map((row) => row.id).sort());
  });

  test.each(Object.entries(CASES))("%s", (_, run) => run());
});
