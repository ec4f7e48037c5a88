// However a battery, a fuel pressure, a bottle's pressure or a supply comes and goes, with the flow or by itself: no more than three bursts begin within ten seconds.
import { fc, test } from "@fast-check/vitest";
import { expect } from "vitest";
import type { Car } from "../../oracle/car.ts";
import type { Settings } from "../../oracle/settings.ts";
import { flowingCar, isFed, modeOf } from "../../oracle/stand.ts";
import { runs } from "../../support/effort.ts";
import { put, withPart } from "./interlock-moves.ts";

const TICKS = 12_000;
const WITHIN_TICKS = 10_000;
const MOST_BURSTS = 3;

const SETTINGS: Settings = withPart("fuel", (settings) => {
  settings.bottle = withPart("bottle").bottle!;
});
SETTINGS.flow.longestRunMs = SETTINGS.stages[0]!.longestMs = 30_000;
const { lowestMv } = SETTINGS.battery;
const { lowestDeciKpaGauge } = SETTINGS.fuel!;
const GOOD_MV = 13_000;

/** Puts what is watched where it is bad, or good, by so much. */
const KINDS: Readonly<Record<string, (car: Car, bad: boolean, by: number) => void>> = {
  "battery low": (car, bad, by) => {
    car.point.batteryMv = bad ? lowestMv - by : GOOD_MV;
  },
  "battery high": (car, bad, by) => {
    car.point.batteryMv = bad ? 16_500 + by : GOOD_MV;
  },
  "supply off": (car, bad, by) => {
    car.wiring.dropMv = bad ? 2_000 + by : 0;
  },
  "bottle low": (car, bad, by) =>
    put(car, SETTINGS, "bottle", SETTINGS.bottle!.lowestKpaGauge + (bad ? -by / 2 : 400)),
  "fuel low": (car, bad, by) => put(car, SETTINGS, "fuel", lowestDeciKpaGauge + (bad ? -by : 300)),
};

/** Ticks in which it is bad, then good; again and again. */
const stretch = fc.tuple(fc.integer({ min: 1, max: 120 }), fc.integer({ min: 1, max: 900 }));

test.prop(
  [
    fc.constantFrom(...Object.keys(KINDS)),
    fc.array(stretch, { minLength: 1, maxLength: 12 }),
    fc.integer({ min: 20, max: 900 }),
    fc.boolean(),
  ],
  runs(40),
)("hunts no longer than that", (kind, stretches, by, withFlow) => {
  const car = flowingCar(SETTINGS, { batteryMv: GOOD_MV });
  const bad = stretches.flatMap(([is, not]) => [...Array(is).fill(true), ...Array(not).fill(false)]);
  const began = [0];
  let [fed, place] = [true, 0];
  for (let tick = 1; tick <= TICKS && modeOf(car) !== "tripped"; tick++) {
    const now = bad[place % bad.length] as boolean;
    if (!withFlow || !now || fed) place++;
    KINDS[kind]!(car, now && (!withFlow || fed), by);
    car.tick();
    if (isFed(car) && !fed) began.push(tick);
    fed = isFed(car);
    expect(began.filter((at) => at > tick - WITHIN_TICKS).length, `${began}`).toBeLessThanOrEqual(
      MOST_BURSTS,
    );
  }
});
