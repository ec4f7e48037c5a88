/** Energy of whole runs: the engine's work against everything that it went into. */
import { test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import type { CarData } from "#host/car/car.ts";
import type { Motion } from "#host/car/motion.ts";
import { runs } from "../../support/effort.ts";
import { anyCar, anyDriver, STEP_S } from "./any.ts";
import { quarterS, standing } from "./drive.ts";

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

describe("energy", () => {
  test.prop([anyCar, anyDriver], runs(15))(
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
