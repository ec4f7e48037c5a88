/** Wheelspin: slip at, under and above what the tyres hold, what it leaves of the grip, who sees it, and a driver who minds. */
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import type { CarData } from "#host/car/car.ts";
import { slipAt } from "#host/car/settled/traction.ts";
import { runs } from "../../support/effort.ts";
import { testCar } from "../plan/cars.ts";
import { STEP_S } from "./any.ts";
import { gripOf, motionOf, quarterS, STAND_S, standing } from "./drive.ts";

describe("slip", () => {
  /** A car held at one wheel force by an engine of constant torque, on a slip curve that rises straight. */
  const pulling = (share: number): CarData => {
    const curve = [
      [0, 0],
      [0.12, 1.2],
      [1, 0.8],
    ] as const;
    const car = testCar({
      driven: "all",
      gears: [1],
      rolling: 0,
      dragAreaM2: 0,
      shiftRpm: 1e9,
      launchRpm: 500,
    });
    const forceN = share * 1.2 * car.massKg * 9.80665;
    const lumpKg =
      (car.wheelInertiaKgM2 + car.engineInertiaKgM2 * car.finalDrive ** 2) / car.tyreRadiusM ** 2;
    const driveN = forceN * (1 + lumpKg / car.massKg);
    const torqueNm = (driveN * car.tyreRadiusM) / (car.finalDrive * car.efficiency);
    return {
      ...car,
      torque: [[0, torqueNm]],
      grip: { curve, reserve: 0.1 },
      motion: motionOf({ limiterRpm: 1e9 }),
    };
  };
  /** Slip when the pedal, half down through the start, has been all the way down for some time. */
  const slipAfter = (car: CarData, timeS: number): number => {
    const motion = standing(car, { clutchShare: Number.POSITIVE_INFINITY });
    motion.input.pedal = 0.5;
    while (motion.timeS < STAND_S + 2) motion.step(STEP_S);
    motion.input.pedal = 1;
    while (motion.timeS < STAND_S + 2 + timeS) motion.step(STEP_S);
    return motion.slip;
  };

  test("stands at the peak for a force at the limit", () => {
    expect(slipAfter(pulling(0.995), 3)).toBeCloseTo(0.12, 2);
  });

  test.prop([fc.double({ min: 0.2, max: 0.97, noNaN: true })], runs(15))(
    "under the limit is where the curve has the friction in use (by the settled run's own reading of the curve)",
    (share) => {
      const car = pulling(share);
      expect(slipAfter(car, 3)).toBeCloseTo(slipAt(car.grip, share * 1.2), 2);
    },
  );

  test("runs away for a force above the limit", () => {
    expect(slipAfter(pulling(1.1), 3)).toBeGreaterThan(0.3);
  });

  test("of a wheel that spins altogether leaves the sliding share of the grip", () => {
    const motion = standing(testCar({ grip: gripOf(0.7) }), { clutchShare: Number.POSITIVE_INFINITY });
    let seen = 0;
    for (let k = 0; k < 1000; k++) {
      motion.step(STEP_S);
      if (motion.slip < 1.1 || motion.clutch !== "locked") continue;
      seen++;
      expect(motion.tyreN / (0.7 * 0.75 * motion.loadN)).toBeCloseTo(1, 1);
    }
    expect(seen).toBeGreaterThan(100);
  });

  test("stays near the peak under a driver who feathers the pedal, and runs away under one who does not", () => {
    const car = testCar({ grip: gripOf(0.9) });
    const spinning = (spin: "flat" | "feather") => {
      let overS = 0;
      quarterS(
        standing(car, { spin, clutchShare: Number.POSITIVE_INFINITY }),
        STEP_S,
        ({ slip, peakSlip, timeS }) => {
          if (slip > 2 * peakSlip && timeS > STAND_S + 1) overS += STEP_S;
        },
      );
      return overS;
    };
    expect(spinning("flat")).toBeGreaterThan(1);
    expect(spinning("feather")).toBeLessThan(0.5 * spinning("flat"));
  });

  test("of the engine alone is kept away by a driver who holds it; what nitrous adds is not", () => {
    const car = testCar({ grip: gripOf(1) });
    const worst = (addedW: number) => {
      let most = 0;
      const motion = standing(car, { spin: "held" });
      quarterS(motion, STEP_S, () => {
        motion.input.addedW = motion.gear > 0 && motion.pedal === 1 ? addedW : 0;
        most = Math.max(most, motion.slip);
      });
      return most;
    };
    expect(worst(0)).toBeLessThan(0.1);
    expect(worst(150e3)).toBeGreaterThan(0.2);
  });

  test("shows at a driveshaft and not at an undriven wheel: the one turns faster than the car moves", () => {
    const motion = standing(testCar({ grip: gripOf(0.7) }), { clutchShare: Number.POSITIVE_INFINITY });
    let [shaftM, wheelM] = [0, 0];
    quarterS(motion, STEP_S, () => {
      shaftM += motion.wheelMS * STEP_S;
      wheelM += motion.speedMS * STEP_S;
    });
    expect(wheelM).toBeCloseTo(motion.distanceM, 0);
    expect(shaftM).toBeGreaterThan(1.05 * motion.distanceM);
  });
});
