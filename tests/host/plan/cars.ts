/** Invented cars for the tests. */

import { ASSUMED_MOTION, type CarData } from "#host/car/car.ts";
import { assumedCurve } from "#host/car/torque-curve.ts";
import type { PlanInput } from "#host/plan/input/plan-input.ts";
import { loadCar } from "#host/plan/input/resolve.ts";

/** An invented rear-driven car of 220 kW. */
export function testCar(change: Partial<CarData> = {}): CarData {
  return {
    massKg: 1500,
    driven: "rear",
    wheelbaseM: 2.6,
    gravityHeightM: 0.52,
    gravityBehindFrontM: 1.25,
    tyreRadiusM: 0.32,
    grip: { curve: [[0, 1.1]], reserve: 0.1 },
    dragAreaM2: 0.7,
    rolling: 0.013,
    airDensityKgM3: 1.2,
    wheelInertiaKgM2: 4,
    engineInertiaKgM2: 0.2,
    gears: [3.2, 2, 1.4, 1, 0.8],
    finalDrive: 3.7,
    efficiency: 0.88,
    shiftRpm: 6450,
    shiftS: 0.3,
    launchRpm: 3500,
    torque: assumedCurve(220e3, 6000, 6800),
    motion: ASSUMED_MOTION,
    ...change,
  };
}

/** A goal of so many hp in one stage, so that no test waits for divisions that it does not look at. */
export const goalOf = (hp: number): string => `{added-power: ${hp} hp, stages: 1}`;

/** A small valid car file; `extra` replaces whole top-level lines by key. */
export function carText(extra: Readonly<Record<string, string>> = {}): string {
  const lines: Record<string, string> = {
    name: "Invented coupe",
    engine: "{power: 220 kW, power-at: 6000 rpm, rev-limiter: 6800 rpm, cylinders: 6}",
    car: "{mass: 1500 kg, driven: rear}",
    goal: goalOf(100),
    // Given, so that no test waits for the search of a reserve that it does not look at.
    tyres: "{reserve: 10 %}",
    ...extra,
  };
  return Object.entries(lines)
    .map(([key, value]) => `${key}: ${value}\n`)
    .join("");
}

/** The plan input of a valid car file. */
export function inputOf(extra: Readonly<Record<string, string>> = {}): PlanInput {
  const loaded = loadCar(carText(extra));
  if (!loaded.ok) throw new Error(loaded.errors.map((e) => e.message).join("; "));
  return loaded.input;
}
