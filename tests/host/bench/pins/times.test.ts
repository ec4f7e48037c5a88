// The shortest times of all, at many phases, some of the faults every day and all in CI: arm switch, throttle, engine speed, lost pulses.
import { expect, test } from "vitest";
import { scenariosOf } from "#host/bench/prove/catalogue.ts";
import { isFitted, prove } from "#host/bench/prove/prove.ts";
import { INTERLOCKS, interlockNumber } from "#shared-schema/model/interlocks.ts";
import { sample } from "../../../support/effort.ts";
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
  const all = ["ARM", "WOT", "RPM-WIN", "RPM-LOST"].flatMap(scenariosOf);
  expect(all.length).toBeGreaterThanOrEqual(9);
  const scenarios = sample(
    all.filter((scenario) => isFitted(scenario, PROVING)),
    5,
  );
  const findings = await prove(PROVING, { ...benchOptions(), scenarios });
  expect(findings.map(({ outcome }) => outcome)).toEqual(scenarios.map(() => "passed"));
});
