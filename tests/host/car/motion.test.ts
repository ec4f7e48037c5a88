/** The stepped motion: closed forms, energy, step length, and what must hold whatever the car. */
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { type CarData, rotatingMassKg } from "#host/car/car.ts";
import type { Driver } from "#host/car/driver.ts";
import type { Motion } from "#host/car/motion.ts";
import { quarterMileRules } from "#host/car/quarter-mile.ts";
import { QUARTER_MILE_M, simulate } from "#host/car/settled/run.ts";
import { slipAt } from "#host/car/settled/traction.ts";
import { peakPower, torqueAt } from "#host/car/torque-curve.ts";
import { testCar } from "../plan/cars.ts";
import { gripOf, idealCar, motionOf, quarterS, STAND_S, standing } from "./drive.ts";

const STEP_S = 0.001;

const anyCar = fc
  .record({
    driven: fc.constantFrom<CarData["driven"]>("rear", "front", "all"),
    massKg: fc.double({ min: 800, max: 2200, noNaN: true }),
    friction: fc.double({ min: 0.7, max: 2.2, noNaN: true }),
    torque: fc.double({ min: 0.5, max: 2, noNaN: true }),
    shiftS: fc.double({ min: 0.05, max: 0.4, noNaN: true }),
  })
  .map(({ driven, massKg, friction, torque, shiftS }) =>
    testCar({
      driven,
      massKg,
      shiftS,
      grip: gripOf(friction),
      torque: testCar().torque.map(([rpm, nm]) => [rpm, nm * torque] as const),
    }),
  );

const anyDriver = fc.record({
  shift: fc.constantFrom<"lift" | "flat">("lift", "flat"),
  spin: fc.constantFrom<"flat" | "feather">("flat", "feather"),
  clutchShare: fc.constantFrom(0.9, 1, Number.POSITIVE_INFINITY),
});

/** Follows where the engine's work goes, J, by forces and speeds alone. */
class Energy {
  workJ = 0;
  tyresJ = 0;
  drivelineJ = 0;
  private resistanceJ = 0;
  private readonly car: CarData;
  private readonly startJ: number;
  private before: { engine: number; wheel: number; road: number };

  constructor(motion: Motion) {
    this.car = motion.car;
    this.before = speedsOf(motion);
    this.startJ = this.storedJ();
  }

  private storedJ(): number {
    const { car, before } = this;
    const wheels = car.wheelInertiaKgM2 / car.tyreRadiusM ** 2;
    const driven = car.driven === "all" ? wheels : wheels / 2;
    const engine = 0.5 * car.engineInertiaKgM2 * before.engine ** 2;
    return (
      engine + 0.5 * driven * before.wheel ** 2 + 0.5 * (car.massKg + wheels - driven) * before.road ** 2
    );
  }

  /** Adds one step's work of the engine and everything that turns into heat: clutch, driveline, tyres, air and rolling. */
  add(motion: Motion): void {
    const { before } = this;
    const now = speedsOf(motion);
    const mean = (key: "engine" | "wheel" | "road") => (before[key] + now[key]) / 2;
    this.workJ += motion.engineNm * mean("engine") * STEP_S;
    this.tyresJ += motion.tyreN * (mean("wheel") - mean("road")) * STEP_S;
    this.drivelineJ += (motion.clutchNm * mean("engine") - motion.driveN * mean("wheel")) * STEP_S;
    this.resistanceJ += motion.resistanceN * mean("road") * STEP_S;
    this.before = now;
  }

  /** What the books do not account for, as a share of the engine's work. */
  error(): number {
    const goneJ = this.tyresJ + this.drivelineJ + this.resistanceJ;
    return (this.workJ - goneJ - (this.storedJ() - this.startJ)) / this.workJ;
  }
}

const speedsOf = (motion: Motion) => ({
  engine: (motion.engineRpm * Math.PI) / 30,
  wheel: motion.wheelMS,
  road: motion.speedMS,
});

describe("closed forms", () => {
  test.prop([fc.double({ min: 40e3, max: 400e3, noNaN: true })], { numRuns: 5 })(
    "constant power without losses: t^3 = 9 m x^2 / (8 P) (Fox, American Journal of Physics 1973) within 0.2 %",
    (powerW) => {
      const car = idealCar(powerW);
      const massKg = car.massKg + rotatingMassKg(car, 0, true);
      const expected = Math.cbrt((9 * massKg * QUARTER_MILE_M ** 2) / (8 * powerW));
      expect(Math.abs(quarterS(standing(car)) / expected - 1)).toBeLessThan(0.002);
    },
  );
});

describe("energy", () => {
  test.prop([anyCar, anyDriver], { numRuns: 15 })(
    "of a whole run is accounted for within 0.5 %; clutch, driveline and tyres only lose",
    (car, driver) => {
      const motion = standing(car, driver);
      const energy = new Energy(motion);
      quarterS(motion, STEP_S, () => energy.add(motion));
      expect(Math.abs(energy.error())).toBeLessThan(0.005);
      expect(Math.min(energy.tyresJ, energy.drivelineJ)).toBeGreaterThan(0);
    },
  );
});

describe("steps", () => {
  const moved = (car: CarData, driver: Partial<Driver>): number =>
    Math.abs(quarterS(standing(car, driver)) - quarterS(standing(car, driver, STEP_S / 2), STEP_S / 2));

  test.prop([anyCar, anyDriver, fc.constantFrom(0.9, 1)], { numRuns: 10 })(
    "half as long move the quarter mile by less than 0.003 s",
    (car, driver, clutchShare) => {
      expect(moved(car, { ...driver, clutchShare })).toBeLessThan(0.003);
    },
  );

  test.prop([anyCar, anyDriver], { numRuns: 5 })(
    "and by less than 0.05 s where the clutch bites: a spinning wheel may grip again before or after a gear change",
    (car, driver) => {
      expect(moved(car, { ...driver, clutchShare: Number.POSITIVE_INFINITY })).toBeLessThan(0.05);
    },
  );
});

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

  test.prop([fc.double({ min: 0.2, max: 0.97, noNaN: true })], { numRuns: 15 })(
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

  test.prop([anyCar, anyDriver, fc.double({ min: 0, max: 150e3, noNaN: true })], { numRuns: 10 })(
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
