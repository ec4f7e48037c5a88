// Which rise of the road speed is wheelspin: one that is faster than its limit, from pulse to pulse, and none that is slower.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import type { Car } from "../../oracle/car.ts";
import { flowingCar, smallSettings, ticks } from "../../oracle/stand.ts";
import { runs } from "../../support/effort.ts";

const SHARE = 600;
const CUT_TO = 300;
const HOLD_MS = 250;
const RISE_TICKS = 600;

/** A car that flows, its road speed watched. */
function watched(pulsesPerKm: number, fastest: number, deciKmh: number): Car {
  const settings = smallSettings((s) => {
    s.road = { pulsesPerKm, sender: "driveshaft" };
    s.driveline = { fastestDeciKmhPerS: fastest, cutToPermille: CUT_TO, holdMs: HOLD_MS };
  });
  const car = flowingCar(settings, { deciKmh });
  ticks(car, 500);
  return car;
}

/** The least share while the road speed rises that fast, as a part of the limit. */
function leastShare(pulsesPerKm: number, fastest: number, from: number, part: number): number {
  const car = watched(pulsesPerKm, fastest, from);
  let least = SHARE;
  for (let i = 0; i < RISE_TICKS; i++) {
    car.point.deciKmh += (part * fastest) / 1000;
    car.tick();
    least = Math.min(least, car.sharePermille(0));
  }
  return least;
}

describe("a road speed that rises", () => {
  /** Pulses that lie 10 to 50 ms apart. */
  const place: [fc.Arbitrary<number>, fc.Arbitrary<number>, fc.Arbitrary<number>] = [
    fc.integer({ min: 1500, max: 3000 }),
    fc.integer({ min: 300, max: 1500 }),
    fc.integer({ min: 500, max: 800 }),
  ];

  test.prop(place, runs(40))("slower than its limit is not cut back", (pulsesPerKm, fastest, from) => {
    expect(leastShare(pulsesPerKm, fastest, from, 0.97)).toBe(SHARE);
  });

  /** Pulses up to 400 ms apart, as of one for each turn of a wheel: a mean over so long lags behind a rise. */
  const slow: [fc.Arbitrary<number>, fc.Arbitrary<number>, fc.Arbitrary<number>] = [
    fc.integer({ min: 400, max: 1500 }),
    fc.integer({ min: 300, max: 600 }),
    fc.integer({ min: 220, max: 800 }),
  ];

  test.prop(slow, runs(40))(
    "half as fast as its limit is not cut back by a slow sender",
    (perKm, fastest, from) => {
      expect(leastShare(perKm, fastest, from, 0.5)).toBe(SHARE);
    },
  );

  test.prop(place, runs(40))("faster than its limit is cut back", (pulsesPerKm, fastest, from) => {
    expect(leastShare(pulsesPerKm, fastest, from, 1.6)).toBe(CUT_TO);
  });
});

/** So many road pulses come at a speed; the least share until the last of them. */
function pulses(car: Car, deciKmh: number, count: number): number {
  car.point.deciKmh = deciKmh;
  let least = SHARE;
  const last = car.raw.road.count + count;
  while (car.raw.road.count < last) {
    car.tick();
    least = Math.min(least, car.sharePermille(0));
  }
  return least;
}

describe("a road speed that jumps", () => {
  /** Pulses 18 ms apart at 50 km/h, between which it may gain 1.1 km/h. */
  const at50 = (): Car => watched(4000, 600, 500);

  test("from one pulse to the next is not cut back, two pulses in a row are", () => {
    const once = at50();
    expect(Math.min(pulses(once, 540, 10), pulses(once, 580, 10))).toBe(SHARE);
    const twice = at50();
    expect(Math.min(pulses(twice, 540, 1), pulses(twice, 580, 3))).toBe(CUT_TO);
  });

  test("from what it was before a standstill is compared with nothing", () => {
    const car = at50();
    pulses(car, 20, 4);
    car.point.deciKmh = 0;
    ticks(car, 1300);
    expect(Math.min(pulses(car, 500, 2), pulses(car, 540, 10))).toBe(SHARE);
  });

  test("is cut back no longer than its time after the wheels were seen to stand", () => {
    const car = at50();
    expect(Math.min(pulses(car, 540, 1), pulses(car, 580, 3))).toBe(CUT_TO);
    pulses(car, 620, 1);
    pulses(car, 660, 1);
    car.point.deciKmh = 0;
    ticks(car, 1000 + HOLD_MS + 100);
    expect(car.sharePermille(0)).toBe(SHARE);
  });
});
