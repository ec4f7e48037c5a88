/** The stepped motion: closed forms, step length, and what must hold whatever the car. */
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { type CarData, rotatingMassKg } from "#host/car/car.ts";
import type { Driver } from "#host/car/driver.ts";
import { QUARTER_MILE_M, quarterMileRules } from "#host/car/quarter-mile.ts";
import { simulate } from "#host/car/settled/run.ts";
import { peakFriction } from "#host/car/settled/traction.ts";
import { peakPower, torqueAt } from "#host/car/torque-curve.ts";
import { runs } from "../../support/effort.ts";
import { testCar } from "../plan/cars.ts";
import { anyCar, anyDriver, STEP_S } from "./any.ts";
import { gripOf, idealCar, motionOf, quarterS, STAND_S, standing } from "./drive.ts";

describe("closed forms", () => {
  test.prop([fc.double({ min: 40e3, max: 400e3, noNaN: true })], runs(5))(
    "constant power without losses: t^3 = 9 m x^2 / (8 P) (Fox, American Journal of Physics 1973) within 0.2 %",
    (powerW) => {
      const car = idealCar(powerW);
      const massKg = car.massKg + rotatingMassKg(car, 0, true);
      const expected = Math.cbrt((9 * massKg * QUARTER_MILE_M ** 2) / (8 * powerW));
      expect(Math.abs(quarterS(standing(car)) / expected - 1)).toBeLessThan(0.002);
    },
  );
});

describe("steps", () => {
  const moved = (car: CarData, driver: Partial<Driver>): number =>
    Math.abs(quarterS(standing(car, driver)) - quarterS(standing(car, driver, STEP_S / 2), STEP_S / 2));

  test.prop([anyCar, anyDriver, fc.constantFrom(0.9, 0.95)], runs(10))(
    "half as long move the quarter mile by less than 0.003 s, on a usual road with a driver who keeps the wheels from spinning",
    (car, driver, clutchShare) => {
      const grip = gripOf(Math.max(1, peakFriction(car.grip)));
      expect(moved({ ...car, grip }, { ...driver, spin: "held", clutchShare })).toBeLessThan(0.003);
    },
  );

  test("and for nine of ten cars whose wheels spin; in others they grip again before or after a gear change", () => {
    const spinning = fc.sample(fc.tuple(anyCar, anyDriver), { ...runs(60), seed: 1 });
    const by = spinning.map(([car, driver]) =>
      moved(car, { ...driver, clutchShare: Number.POSITIVE_INFINITY }),
    );
    expect(by.filter((s) => s < 0.003).length).toBeGreaterThanOrEqual(0.9 * by.length);
  });
});

describe("a whole run", () => {
  test("of cars that grip lies by the published formulas: time within 8 % of their span, speed within 5 %", () => {
    for (const factor of [0.6, 1, 1.5]) {
      const torque = testCar().torque.map(([rpm, nm]) => [rpm, nm * factor] as const);
      const car = testCar({ grip: gripOf(1.2 + factor), shiftS: 0.2, torque });
      const motion = standing(car);
      const timeS = quarterS(motion);
      const rules = quarterMileRules(car.massKg, peakPower(car.torque).powerW);
      expect(timeS).toBeGreaterThan(0.92 * Math.min(...rules.map((r) => r.timeS)));
      expect(timeS).toBeLessThan(1.08 * Math.max(...rules.map((r) => r.timeS)));
      expect(motion.speedMS / 0.44704).toBeGreaterThan(0.95 * Math.min(...rules.map((r) => r.mph)));
      expect(motion.speedMS / 0.44704).toBeLessThan(1.05 * Math.max(...rules.map((r) => r.mph)));
    }
  });

  test("without lag, slip and lost time is the settled run, within 0.3 %", () => {
    const quick = {
      pedalS: 1e-3,
      takeUpS: 0.01,
      shift: "flat",
      clutchShare: Number.POSITIVE_INFINITY,
    } as const;
    const motion = motionOf({ peakSlip: 0.002, slidingShare: 1, axleLagS: 1e-3, intakeS: 1e-3 });
    const car = testCar({ grip: gripOf(2.5), motion, engineInertiaKgM2: 0.02 });
    expect(Math.abs(quarterS(standing(car, quick)) / simulate(car).quarterS - 1)).toBeLessThan(0.003);
  });

  test.prop([anyCar, anyDriver, fc.double({ min: 0, max: 150e3, noNaN: true })], runs(10))(
    "keeps every value in its range, whatever is added and whatever the pedal does",
    (car, driver, addedW) => {
      const motion = standing(car, driver);
      quarterS(motion, STEP_S, () => {
        motion.input.addedW = motion.shifting ? 0 : addedW;
        motion.input.pedal = motion.timeS % 3 < 2.6 ? 1 : 0;
        if (!(motion.speedMS >= 0 && motion.wheelMS >= 0 && motion.engineRpm >= 0))
          throw new Error("runs backwards");
        if (!(motion.loadN >= 0 && motion.loadN <= car.massKg * 9.80665 + 1e-6))
          throw new Error("load out of range");
        if (!(motion.tyreN <= motion.peakFriction * motion.loadN * 1.01 + 50))
          throw new Error("grips beyond its peak");
      });
      expect(motion.engineRpm).toBeLessThan(car.motion.limiterRpm + 400);
    },
  );

  test("with power added is that of an engine with so much more at every speed", () => {
    const addedW = 60e3;
    const engine = testCar({ grip: gripOf(3), motion: motionOf({ intakeS: 1e-3 }) });
    const driver = { shift: "flat", pedalS: 1e-3, clutchShare: Number.POSITIVE_INFINITY } as const;
    const stronger = Array.from({ length: 130 }, (_, i) => {
      const rpm = 1000 + 50 * i;
      return [rpm, torqueAt(engine.torque, rpm) + addedW / ((rpm * Math.PI) / 30)] as const;
    });
    const fed = standing(engine, driver);
    fed.input.addedW = addedW;
    const fedS = quarterS(fed);
    expect(fedS).toBeCloseTo(quarterS(standing({ ...engine, torque: stronger }, driver)), 2);
    expect(quarterS(standing(engine, driver))).toBeGreaterThan(fedS + 0.5);
  });

  test("moves its load onto the rear axle by 63 % of the way in the time of its lag", () => {
    for (const axleLagS of [0.1, 0.3]) {
      const car = testCar({ grip: gripOf(3), motion: motionOf({ axleLagS }), torque: [[0, 200]] });
      const motion = standing(car);
      const staticN = motion.loadN;
      while (motion.timeS < STAND_S + axleLagS) motion.step(STEP_S);
      const whole = (car.massKg * motion.accelerationMS2 * car.gravityHeightM) / car.wheelbaseM;
      expect((motion.loadN - staticN) / whole).toBeCloseTo(1 - Math.exp(-1), 1);
    }
  });

  test("less grip is never quicker when the driver lets the clutch bite", () => {
    const time = (friction: number) =>
      quarterS(standing(testCar({ grip: gripOf(friction) }), { clutchShare: Number.POSITIVE_INFINITY }));
    const times = [0.8, 1, 1.2, 1.6].map(time);
    for (let i = 1; i < times.length; i++) expect(times[i]!).toBeLessThan(times[i - 1]! + 0.01);
  });

  test("with a lift at each change the pedal comes up and the manifold empties; flat it does not", () => {
    const lowest = (shift: "lift" | "flat") => {
      let least = 1;
      const motion = standing(testCar({ grip: gripOf(2) }), { shift });
      quarterS(motion, STEP_S, () => {
        least = Math.min(least, motion.pedal);
      });
      return least;
    };
    expect(lowest("lift")).toBe(0);
    expect(lowest("flat")).toBe(1);
  });

  test("that is held stays where it is, at its launch speed", () => {
    const motion = standing(testCar());
    expect(motion.distanceM).toBe(0);
    expect(motion.engineRpm).toBeGreaterThan(0.97 * testCar().launchRpm);
    expect(motion.engineRpm).toBeLessThan(1.03 * testCar().launchRpm);
  });
});
