// Uneven pulses of a steady engine are no jump, whatever their number; extra pulses are one, however uneven the others may be.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";
import type { Car } from "../../oracle/car.ts";
import type { Settings } from "../../oracle/settings.ts";
import { flowingCar, isFed, smallSettings } from "../../oracle/stand.ts";
import { runs } from "../../support/effort.ts";
import { catalogueTicks, NONE } from "./interlock-moves.ts";

const RPM = 9000;
const FASTEST = 30_000;

function settings(halfPulses: number, unevennessPermille: number): Settings {
  return smallSettings((s) => {
    s.engine.pulsesHalfPulses = halfPulses;
    s.engine.revLimiterRpm = 12_000;
    s.windows.engineSpeed!.closeRpm = 11_500;
    s.engine.jump = { fastestRpmPerS: FASTEST, unevennessPermille };
  });
}

const periodUs = (halfPulses: number): number => 120e6 / halfPulses / RPM;
const flowing = (halfPulses: number, unevennessPermille: number): Car =>
  flowingCar(settings(halfPulses, unevennessPermille), { rpm: RPM });
const tripOf = (car: Car): string | undefined => INTERLOCKS[car.trip]?.id;

/** From the last pulse on, pulses lie as far apart as told, and nothing else comes; until a trip, or the last of them. */
function pulsesApart(car: Car, apartUs: readonly number[]): void {
  car.engineWireCut = true;
  let at = car.raw.engine.edgeUs;
  for (const us of apartUs) {
    at += us;
    while (at > car.raw.nowUs + 1000) car.tick();
    if (tripOf(car) !== undefined) return;
    car.spuriousPulse(Math.round(at));
  }
  car.tick();
}

/** So many pulses, in turns further apart and closer by that part. */
function uneven(halfPulses: number, part: number, count: number): number[] {
  return Array.from({ length: count }, (_, i) => periodUs(halfPulses) * (1 + (i % 2 ? part : -part)));
}

describe("a steady engine with uneven pulses", () => {
  test("tooth errors of 0.4 % at 8 pulses a turn pass even where least may be uneven", () => {
    const moveRpmPerS = (2 * 0.004 * RPM) / (periodUs(16) / 1e6);
    expect(moveRpmPerS, "they look faster than the limit").toBeGreaterThan(2 * FASTEST);
    const car = flowing(16, 20);
    pulsesApart(car, uneven(16, 0.004, 400));
    expect(isFed(car)).toBe(true);
  });

  test.prop([fc.integer({ min: 20, max: 300 }), fc.integer({ min: 2, max: 12 })], runs(20))(
    "flows with what the setting lets pass, trips at twice that",
    (permille, halfPulses) => {
      const free = permille / 1000;
      const within = flowing(halfPulses, permille);
      pulsesApart(within, uneven(halfPulses, free / (2 + 2 * free), 100));
      expect(isFed(within)).toBe(true);
      const beyond = flowing(halfPulses, permille);
      pulsesApart(beyond, uneven(halfPulses, 0.75 * free + 0.02, 100));
      expect(tripOf(beyond)).toBe("RPM-JUMP");
    },
  );

  test.prop([fc.integer({ min: 1, max: 16 })], { numRuns: 16 })(
    "has no jump when they are even",
    (halfPulses) => {
      const car = flowing(halfPulses, 20);
      pulsesApart(car, uneven(halfPulses, 0, 100));
      expect(car.trip).toBe(NONE);
    },
  );
});

test.prop([fc.integer({ min: 2, max: 8 }), fc.double({ min: 0.62, max: 0.74, noNaN: true })], runs(20))(
  "extra pulses trip within three pulses, also where most may be uneven",
  (halfPulses, part) => {
    const car = flowing(halfPulses, 300);
    const us = periodUs(halfPulses);
    const even = uneven(halfPulses, 0, 8);
    pulsesApart(car, even);
    const from = car.raw.engine.edgeUs;
    pulsesApart(
      car,
      [part, 1 - part, part, 1 - part, part, 1 - part].map((of) => of * us),
    );
    expect(tripOf(car)).toBe("RPM-JUMP");
    expect(car.raw.nowUs - from).toBeLessThanOrEqual(3 * us + 1000 * catalogueTicks("RPM-JUMP"));
  },
);
