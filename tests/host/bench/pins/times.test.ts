// The shortest times of all, every day and at many phases: arm switch, throttle, engine speed, lost pulses.
import { expect, test } from "vitest";
import { prove } from "#host/bench/prove/prove.ts";
import { INTERLOCKS, interlockNumber } from "#shared-schema/model/interlocks.ts";
import { benchOptions, PROVING } from "../../../support/proving.ts";

/** Longest times to all pins low, us, written down from the design once more, so that a slip in the table shows. */
const LONGEST_US: Readonly<Record<string, number>> = {
  ARM: 10,
  WOT: 2000,
  "RPM-WIN": 2000,
  "RPM-LOST": 2000,
  TRAP: 10,
  HANG: 20_000,
};

test.each(Object.entries(LONGEST_US))(
  "%s allows %i us in the catalogue, besides the pulses it waits for",
  (id, us) => {
    expect(INTERLOCKS[interlockNumber(id)]!.withinUs).toBe(us);
  },
);

test("all solenoid pins are low in time after arm switch, throttle, engine out of its window and lost pulses", async () => {
  const findings = await prove(PROVING, { ...benchOptions(), only: ["ARM", "WOT", "RPM-WIN", "RPM-LOST"] });
  expect(findings.map(({ outcome }) => outcome)).toEqual(findings.map(() => "passed"));
  expect(findings.length).toBeGreaterThanOrEqual(9);
});
