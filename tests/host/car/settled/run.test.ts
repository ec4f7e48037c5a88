/** The run: against the closed form of constant power, and what must hold whatever the car. */
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { ASSUMED_MOTION } from "#host/car/car.ts";
import { QUARTER_MILE_M, quarterMileRules } from "#host/car/quarter-mile.ts";
import { type Nitrous, simulate } from "#host/car/settled/run.ts";
import { peakPower } from "#host/car/torque-curve.ts";
import { runs } from "../../../support/effort.ts";
import { testCar } from "../../plan/cars.ts";

const nitrous = (addedW: number): Nitrous => ({
  addedW,
  openRpm: 3100,
  closeRpm: 6500,
  torqueLimit: () => Number.POSITIVE_INFINITY,
});

describe("run", () => {
  test("constant power without losses: t^3 = 9 m x^2 / (8 P) (Fox, American Journal of Physics 1973)", () => {
    const powerW = 100e3;
    const torque = Array.from(
      { length: 400 },
      (_, i) => [50 + 50 * i, powerW / (((50 + 50 * i) * 2 * Math.PI) / 60)] as const,
    );
    const free = {
      driven: "all",
      dragAreaM2: 0,
      rolling: 0,
      wheelInertiaKgM2: 0,
      engineInertiaKgM2: 0,
      efficiency: 1,
      launchRpm: 50,
      shiftRpm: 1e9,
    } as const;
    const car = testCar({
      ...free,
      gears: [1],
      finalDrive: 3,
      torque,
      grip: { curve: [[0, 50]], reserve: 0 },
      gravityHeightM: 0.01,
      motion: { ...ASSUMED_MOTION, limiterRpm: Number.POSITIVE_INFINITY },
    });
    const expected = Math.cbrt((9 * car.massKg * QUARTER_MILE_M ** 2) / (8 * powerW));
    expect(simulate(car).quarterS / expected).toBeCloseTo(1, 2);
  });

  test("the limiter holds in the last gear too: the car ends at the speed that it has there, and no sooner", () => {
    const short = (limiterRpm: number) =>
      simulate(testCar({ gears: [3.2, 2], shiftRpm: 6300, motion: { ...ASSUMED_MOTION, limiterRpm } }));
    const [held, free] = [short(6800), short(12_000)];
    const most = Math.max(...held.samples.map((s) => s.rpm));
    expect(most).toBeLessThan(6800 * 1.01);
    expect(Math.max(...free.samples.map((s) => s.rpm))).toBeGreaterThan(7000);
    const byHand = ((6800 * 2 * Math.PI) / 60 / (2 * 3.7)) * 0.32;
    expect(held.trapMS / byHand).toBeCloseTo(1, 2);
    expect(held.quarterS).toBeGreaterThan(free.quarterS);
  });

  test("with grip enough the time lies within 8 % of the span of the quarter-mile formulas, the speed within 5 %", () => {
    const car = testCar({ grip: { curve: [[0, 1.4]], reserve: 0.1 }, shiftS: 0.2 });
    const run = simulate(car);
    const rules = quarterMileRules(car.massKg, peakPower(car.torque).powerW);
    expect(run.quarterS).toBeGreaterThan(0.92 * Math.min(...rules.map((r) => r.timeS)));
    expect(run.quarterS).toBeLessThan(1.08 * Math.max(...rules.map((r) => r.timeS)));
    expect(run.trapMS / 0.44704).toBeGreaterThan(0.95 * Math.min(...rules.map((r) => r.mph)));
    expect(run.trapMS / 0.44704).toBeLessThan(1.05 * Math.max(...rules.map((r) => r.mph)));
  });

  test.prop([fc.double({ min: 10e3, max: 300e3, noNaN: true })], runs(20))(
    "nitrous under the limit never slows the car",
    (addedW) => {
      const car = testCar();
      const run = simulate(car, nitrous(addedW));
      expect(run.quarterS).toBeLessThanOrEqual(simulate(car).quarterS + 1e-9);
      for (const s of run.samples) expect(s.share === 0 || s.open).toBe(true);
    },
  );

  test.prop(
    [fc.double({ min: 0.6, max: 1.6, noNaN: true }), fc.double({ min: 0.6, max: 1.6, noNaN: true })],
    runs(15),
  )("more grip is never slower", (a, b) => {
    const time = (friction: number) =>
      simulate(testCar({ grip: { curve: [[0, friction]], reserve: 0.1 } }), nitrous(120e3)).quarterS;
    expect(time(Math.max(a, b))).toBeLessThanOrEqual(time(Math.min(a, b)) + 0.01);
  });

  test("nothing flows while a gear changes, nor outside the window", () => {
    const run = simulate(testCar(), nitrous(100e3));
    expect(run.samples.some((s) => s.shifting)).toBe(true);
    for (const s of run.samples) if (s.shifting || s.rpm < 3100 || s.rpm > 6500) expect(s.share).toBe(0);
  });

  test("a car that cannot move runs for ever", () => {
    expect(simulate(testCar({ rolling: 2 })).quarterS).toBe(Number.POSITIVE_INFINITY);
  });
});
