/** Ramps: never above the limit, as good as exhaustive search on small cases, and the whole system under tyres and valves. */
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { type Nitrous, simulate } from "#host/car/settled/run.ts";
import { DEFAULT_EFFORT, fitRamp, type LimitSample, type Ramp, rampAt } from "#host/plan/ramp/fit.ts";
import { eroded, shareLimitAtSpeed } from "#host/plan/ramp/share-limits.ts";
import { planRamps, totalShare, worstExcess } from "#host/plan/ramp/stages.ts";
import { allowedShare, deliveredShare, valveRange } from "#host/plan/ramp/valve.ts";
import { longestPattern } from "#shared-schema/model/patterns.ts";
import { runs } from "../../../support/effort.ts";
import { testCar } from "../cars.ts";
import { json } from "../reference.ts";

const limits = fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { minLength: 2, maxLength: 60 });
const samplesOf = (values: readonly number[]): LimitSample[] =>
  values.map((limit, at) => ({ at, limit, weight: 1 }));
const area = (ramp: Ramp, samples: readonly LimitSample[]) =>
  samples.slice(1).reduce((sum, s) => sum + rampAt(ramp, s.at), 0);
const small = { axisValues: 60, values: 10, points: 12, least: 0 };

/** Every ramp of exactly three knots with the given levels, by brute force. */
function bestOfThree(samples: readonly LimitSample[], levels: readonly number[]): number {
  const last = samples.length - 1;
  let best = 0;
  for (let middle = 1; middle < last; middle++) {
    for (const a of levels)
      for (const b of levels)
        for (const c of levels) {
          const ramp: Ramp = [
            [0, a * samples[0]!.limit],
            [middle, b * samples[middle]!.limit],
            [last, c * samples[last]!.limit],
          ];
          if (samples.every((s) => rampAt(ramp, s.at) <= s.limit + 1e-9))
            best = Math.max(best, area(ramp, samples));
        }
  }
  return best;
}

describe("fit", () => {
  test.prop([limits], runs(60))(
    "is never above the limit, rises on its axis, has at most 12 points",
    (values) => {
      const samples = samplesOf(values);
      const ramp = fitRamp(samples, small);
      for (const s of samples) expect(rampAt(ramp, s.at)).toBeLessThanOrEqual(s.limit + 1e-9);
      for (let i = 1; i < ramp.length; i++) expect(ramp[i]![0]).toBeGreaterThan(ramp[i - 1]![0]);
      expect(ramp.length).toBeLessThanOrEqual(12);
      expect(ramp[0]![0]).toBe(0);
      expect(ramp.at(-1)![0]).toBe(values.length - 1);
    },
  );

  test.prop([fc.array(fc.double({ min: 0.05, max: 1, noNaN: true }), { minLength: 4, maxLength: 9 })], {
    ...runs(20),
  })("is at least as good as every ramp of three knots", (values) => {
    const samples = samplesOf(values);
    const effort = { axisValues: 60, values: 8, points: 3, least: 0 };
    const levels = Array.from({ length: 8 }, (_, j) => 1 - (j / 7) ** 1.7);
    expect(area(fitRamp(samples, effort), samples)).toBeGreaterThanOrEqual(
      bestOfThree(samples, levels) - 1e-6,
    );
  });

  test.prop([limits], runs(20))("more points never make it worse by more than rounding", (values) => {
    const samples = samplesOf(values);
    const of = (points: number) => area(fitRamp(samples, { ...small, points }), samples);
    expect(of(12)).toBeGreaterThanOrEqual(of(4) - 0.02 * values.length);
  });

  test("a limit that is a line is met exactly with two points", () => {
    const samples = samplesOf(Array.from({ length: 30 }, (_, i) => i / 29));
    expect(fitRamp(samples, { ...small, points: 2 })).toEqual([
      [0, 0],
      [29, 1],
    ]);
  });

  test("a single sample is refused", () => {
    expect(() => fitRamp(samplesOf([1]))).toThrow(RangeError);
  });
});

describe("valves", () => {
  test.each<{
    f_Hz: number;
    t_open_ms: number;
    t_close_ms: number;
    duty_min_pct: number;
    duty_max_pct: number;
  }>(json("trade-practice.json").computed.duty.examples)(
    "duty limits at $f_Hz Hz, $t_open_ms and $t_close_ms ms",
    (row) => {
      const range = valveRange({
        openingS: row.t_open_ms / 1e3,
        closingS: row.t_close_ms / 1e3,
        frequencyHz: row.f_Hz,
      });
      const share = (dutyPct: number) => dutyPct / 100 - ((row.t_open_ms - row.t_close_ms) / 1e3) * row.f_Hz;
      const periods = longestPattern(row.f_Hz);
      expect(range.least).toBeCloseTo((share(row.duty_min_pct) + 1 / 128) / periods, 9);
      expect(1 - range.greatest).toBeCloseTo((1 - share(row.duty_max_pct)) / periods, 9);
    },
  );

  test.prop([fc.double({ min: 0, max: 1, noNaN: true }), fc.double({ min: 0, max: 1, noNaN: true })])(
    "a command within what is allowed never flows more than the limit",
    (limit, part) => {
      const range = { least: 0.16, greatest: 0.72 };
      expect(deliveredShare(range, part * allowedShare(range, limit))).toBeLessThanOrEqual(limit);
    },
  );
});

describe("all stages together", () => {
  const valves = { least: 0.16, greatest: 0.725 };
  const nitrous = (addedW: number): Nitrous => ({
    addedW,
    openRpm: 3100,
    closeRpm: 6500,
    torqueLimit: () => 520,
  });
  const windowsOf = (parts: readonly number[]) => parts.map((part) => ({ part, openRpm: 3100 }));
  const power = fc.double({ min: 40e3, max: 250e3, noNaN: true });
  const parts = fc.constantFrom([1], [0.4, 0.6], [0.5, 0.5], [0.25, 0.35, 0.4]);

  test.prop([power, fc.double({ min: 0.7, max: 1.5, noNaN: true }), parts], runs(8))(
    "over road speed never exceed what tyres and parts take, between the samples either",
    (addedW, friction, split) => {
      const car = testCar({ grip: { curve: [[0, friction]], reserve: 0.1 } });
      const plan = planRamps(car, nitrous(addedW), "road-speed", windowsOf(split), valves);
      for (const stage of plan.stages) expect(stage.ramp.length).toBeLessThanOrEqual(12);
      for (let v = 0; v < 70; v += 0.011) {
        expect(
          totalShare(plan.stages, valves, v) - shareLimitAtSpeed(car, nitrous(addedW), v),
        ).toBeLessThanOrEqual(0.001);
      }
      expect(worstExcess(plan.run)).toBeLessThanOrEqual(0.001);
    },
  );

  test.prop([power, parts], runs(8))("over time never exceed it in their own run", (addedW, split) => {
    const plan = planRamps(testCar(), nitrous(addedW), "launch", windowsOf(split), valves);
    expect(worstExcess(plan.run)).toBeLessThan(1e-6);
  });

  test("12 points come within 0.06 s of the continuous limit and 0.01 s of forty points, and beat four", () => {
    const car = testCar();
    const free = { least: 0, greatest: 1 };
    const ideal = simulate(car, nitrous(120e3)).quarterS;
    const of = (points: number) =>
      planRamps(car, nitrous(120e3), "road-speed", windowsOf([1]), free, { ...DEFAULT_EFFORT, points }).run
        .quarterS;
    expect(of(12)).toBeGreaterThanOrEqual(ideal - 1e-6);
    expect(of(12) - ideal).toBeLessThan(0.06);
    expect(of(12) - of(40)).toBeLessThan(0.01);
    expect(of(12)).toBeLessThanOrEqual(of(4) + 1e-3);
  });

  test.prop([fc.double({ min: 0.7, max: 1.3, noNaN: true }), fc.double({ min: 0, max: 60, noNaN: true })])(
    "more grip never takes a smaller share",
    (friction, speed) => {
      const at = (mu: number) =>
        shareLimitAtSpeed(testCar({ grip: { curve: [[0, mu]], reserve: 0.1 } }), nitrous(120e3), speed);
      expect(at(friction * 1.1)).toBeGreaterThanOrEqual(at(friction) - 1e-12);
    },
  );

  test("erosion lowers to both neighbours", () => {
    expect(eroded(samplesOf([1, 0.2, 0.9])).map((s) => s.limit)).toEqual([0.2, 0.2, 0.2]);
  });
});
