// Uneven pulses of a steady engine are no jump, whatever their number; extra pulses are one, however uneven the others may be.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import type { Car } from "../../oracle/car.ts";
import type { Settings } from "../../oracle/settings.ts";
import {
  arm,
  FED_TICKS,
  flowingCar,
  isFed,
  smallSettings,
  standingCar,
  ticks,
  ticksToFlow,
} from "../../oracle/stand.ts";
import { runs } from "../../support/effort.ts";
import { bringTo, eraseLog, FASTEST, misread, pulsesApart, tripOf } from "./engine-moves.ts";
import { catalogueTicks, expectFlow, NONE, reason } from "./interlock-moves.ts";

const RPM = 9000;

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

describe("a misreading that lasts", () => {
  /** Real speeds at which nothing may flow, and what they look like where it may. */
  const kinds = [
    ["every second pulse lost above the limiter", 7400, 0.5],
    ["an extra pulse between any two far under the window", 2000, 2],
  ] as const;
  const limited = (halfPulses: number): Settings =>
    smallSettings((s) => {
      s.engine.pulsesHalfPulses = halfPulses;
      s.engine.revLimiterRpm = 7200;
      s.windows.engineSpeed!.closeRpm = 7000;
      s.engine.jump = { fastestRpmPerS: FASTEST, unevennessPermille: 100 };
    });

  test.each(kinds)("%s trips, and is not believed after the arm switch was cycled", (_, rpm, times) => {
    for (const halfPulses of [1, 2, 4, 8, 16]) {
      const car = arm(standingCar(limited(halfPulses), { rpm: 5000 }));
      bringTo(car, rpm);
      ticks(car, 60);
      expect(ticksToFlow(car, 200), "outside its window").toBeUndefined();
      misread(car, times);
      expect(ticksToFlow(car, 500), "inside it, but not believed").toBeUndefined();
      expect(tripOf(car)).toBe("RPM-JUMP");
      arm(car);
      expect(ticksToFlow(car, 2000)).toBeUndefined();
      expect(tripOf(car), "it holds off, as long as it lasts").toBeUndefined();
      expect(reason(car, "RPM-JUMP")).toBe(true);
      bringTo(car, 4870 * times);
      expect(ticksToFlow(car, 300), "whatever the engine does meanwhile").toBeUndefined();
      misread(car, 1 / times);
      ticks(car, 500);
      expect(reason(car, "RPM-JUMP"), `the speed has come back, ${halfPulses} half pulses`).toBe(false);
      arm(car);
      expectFlow(car);
    }
  });

  test.prop(
    [
      fc.integer({ min: 4, max: 16 }),
      fc.integer({ min: 3000, max: 7000 }),
      fc.constantFrom(1 / 3, 0.5, 2, 3),
      fc.integer({ min: 0, max: 40 }),
    ],
    runs(25),
  )("is over when the speed is what it was read wrong for", (halfPulses, rpm, times, after) => {
    const car = standingCar(limited(halfPulses), { rpm });
    ticks(car, 700);
    misread(car, times);
    ticks(car, 300);
    expect(reason(arm(car), "RPM-JUMP")).toBe(true);
    ticks(car, after);
    misread(car, 1 / times);
    ticks(car, 700);
    expect(reason(car, "RPM-JUMP")).toBe(false);
  });

  test("is forgotten when the engine was seen to stand", () => {
    const car = arm(standingCar(limited(4), { rpm: 6000 }));
    ticks(car, 100);
    misread(car, 0.5);
    ticks(car, 100);
    expect(tripOf(car)).toBe("RPM-JUMP");
    car.engineWireCut = true;
    ticks(car, 1100);
    car.engineWireCut = false;
    bringTo(car, 5000);
    expectFlow(arm(car));
  });

  test("outlasts work in flash, which forgets only what was never doubted", () => {
    const car = standingCar(limited(4), { rpm: 6000 });
    ticks(car, 200);
    misread(car, 0.5);
    ticks(car, 100);
    eraseLog(car);
    arm(car);
    expect(reason(car, "RPM-JUMP")).toBe(true);
    expect(ticksToFlow(car, 500), "a row of even pulses does not confirm it").toBeUndefined();
    car.set("arm", false);
    ticks(car, 10);
    misread(car, 2);
    ticks(car, 300);
    arm(car);
    expectFlow(car);
    const other = standingCar(limited(4), { rpm: 6000 });
    ticks(other, 200);
    eraseLog(other);
    other.point.rpm = 3500;
    arm(other);
    expect(reason(other, "RPM-JUMP")).toBe(false);
    expect(ticksToFlow(other, FED_TICKS), "no jump from what was before").toBeDefined();
  });
});

test("nothing flows before a row of even pulses has confirmed the speed", () => {
  const car = arm(
    standingCar(
      smallSettings((s) => {
        s.engine.jump = { fastestRpmPerS: FASTEST, unevennessPermille: 20 };
      }),
      { rpm: 0.001 },
    ),
  );
  car.point.rpm = 5000;
  pulsesApart(car, uneven(4, 0, 3));
  expect(reason(car, "RPM-JUMP")).toBe(true);
});
