// Which moves of the engine's speed are jumps: all that are larger than the setting allows, at any size and any distance of pulses.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import type { Settings } from "../../oracle/settings.ts";
import { smallSettings, standingCar } from "../../oracle/stand.ts";
import { runs } from "../../support/effort.ts";
import { pulsesApart, row } from "./engine-moves.ts";
import { reason } from "./interlock-moves.ts";

type Jump = NonNullable<Settings["engine"]["jump"]>;

/** Pulses that make a row after the first, and some more. */
const CONFIRMING = 12;

/** Is the speed doubted after a row of even pulses and one that tells another speed? */
function jumps(halfPulses: number, jump: Jump, from: number, to: number): boolean {
  const settings = smallSettings((s) => {
    s.engine.pulsesHalfPulses = halfPulses;
    s.engine.jump = jump;
  });
  const car = standingCar(settings, { rpm: 0.001 });
  const usOf = (rpm: number): number => Math.round(120e6 / halfPulses / rpm);
  pulsesApart(car, row(CONFIRMING, usOf(from)));
  expect(reason(car, "RPM-JUMP")).toBe(false);
  pulsesApart(car, [usOf(to)]);
  return reason(car, "RPM-JUMP");
}

describe("a move of the engine's speed", () => {
  const least: Jump = { fastestRpmPerS: 30_000, unevennessPermille: 20 };

  test.each([1, 2])("is a jump at any size past what may be, with %i half pulses", (halfPulses) => {
    const from = 12_000;
    for (let to = 1200; to < from; to += 120) {
      const us = Math.min(120e6 / halfPulses / to, 60_000);
      const may = 0.02 * from + (30_000 * us) / 1e6;
      const margin = 5 + 0.01 * may;
      if (Math.abs(from - to - may) < margin) continue;
      expect(jumps(halfPulses, least, from, to), `to ${to}`).toBe(from - to > may);
    }
  });

  test.prop(
    [
      fc.integer({ min: 1, max: 2 }),
      fc.integer({ min: 400, max: 1900 }),
      fc.integer({ min: 400, max: 1900 }),
    ],
    runs(100),
  )(
    "is none where pulses lie far apart and it is less than an engine may come to",
    (halfPulses, from, to) => {
      expect(jumps(halfPulses, { fastestRpmPerS: 60_000, unevennessPermille: 20 }, from, to)).toBe(false);
    },
  );
});
