// The lead of the retard request: flow follows what is asked for by just that time, at its beginning and along its rise.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import type { Car } from "../../oracle/car.ts";
import type { Settings } from "../../oracle/settings.ts";
import { arm, fullSettings, isFed, smallSettings, standingCar, TURN_TICKS } from "../../oracle/stand.ts";
import { runs } from "../../support/effort.ts";

/** The lead is kept in slots of 8 ms, and each stage has its turn every fourth. */
const SLOT_TICKS = 8;
const LATE_TICKS = 2 * SLOT_TICKS + 2 * TURN_TICKS;
const RISE_MS = 2000;

function settingsOf(leadMs: number): Settings {
  return smallSettings((s) => {
    s.retard = { ...structuredClone(fullSettings().retard!), leadMs };
    s.stages[0]!.longestMs = 10_000;
    s.flow.longestRunMs = 10_000;
    s.stages[0]!.ramps[0]!.points = [
      [0, 200],
      [RISE_MS, 1000],
    ];
  });
}

const retard = (car: Car): number => car.rig.outputs.get("retard");

describe("flow", () => {
  test.prop([fc.integer({ min: 20, max: 500 })], runs(40))(
    "begins a lead after the request for its retard, and is a lead behind its ramp",
    (leadMs) => {
      const car = arm(standingCar(settingsOf(leadMs)));
      let asked = 0;
      let fed = 0;
      for (let tick = 1; fed === 0 && tick < 1000; tick++) {
        car.tick();
        if (asked === 0 && retard(car) > 0) asked = tick;
        if (isFed(car)) fed = tick;
      }
      expect(asked).toBeGreaterThan(0);
      expect(fed - asked).toBeGreaterThanOrEqual(leadMs - TURN_TICKS);
      expect(fed - asked).toBeLessThanOrEqual(leadMs + LATE_TICKS);
      for (let ms = 100; ms <= 1200; ms += 100) {
        for (let i = 0; i < 100; i++) car.tick();
        const along = 200 + (800 * (fed - asked + ms - leadMs)) / RISE_MS;
        const behind = (800 * LATE_TICKS) / RISE_MS;
        expect(car.sharePermille(0)).toBeLessThanOrEqual(along + (800 * 2 * TURN_TICKS) / RISE_MS);
        expect(car.sharePermille(0)).toBeGreaterThanOrEqual(along - behind);
      }
    },
  );
});
