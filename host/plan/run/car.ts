/** The point-mass car: the data for traction and run calculations; SI, engine speed in rpm. */
import type { TorqueCurve } from "../engine/torque-curve.ts";

/** Axle that is driven. */
export type Driven = "rear" | "front" | "all";

/** Tyre friction against longitudinal slip: rising points up to the peak, and the reserve kept below it. */
export interface TyreGrip {
  /** Points of (slip, friction); the highest friction is the limit. A single point is a limit without a curve. */
  readonly curve: readonly (readonly [slip: number, friction: number])[];
  /** Share of the limit that the plan leaves unused, 0 to 1. */
  readonly reserve: number;
}

/** A car. Lengths in m, masses in kg, inertias in kg m2 at their own shaft. */
export interface Car {
  readonly massKg: number;
  readonly driven: Driven;
  readonly wheelbaseM: number;
  readonly gravityHeightM: number;
  /** Distance of the centre of gravity behind the front axle. */
  readonly gravityBehindFrontM: number;
  readonly tyreRadiusM: number;
  readonly grip: TyreGrip;
  /** Drag coefficient times frontal area. */
  readonly dragAreaM2: number;
  readonly rolling: number;
  readonly airDensityKgM3: number;
  readonly wheelInertiaKgM2: number;
  readonly engineInertiaKgM2: number;
  readonly gears: readonly number[];
  readonly finalDrive: number;
  readonly efficiency: number;
  readonly shiftRpm: number;
  readonly shiftS: number;
  /** Engine speed held at the start by a slipping clutch or converter until the wheels catch up. */
  readonly launchRpm: number;
  readonly torque: TorqueCurve;
}

/** Engine revolutions for each wheel revolution in a gear (0 is first). */
export const ratioOf = (car: Car, gear: number): number => (car.gears[gear] ?? 1) * car.finalDrive;

/** Engine speed, rpm, of a locked driveline at a road speed, m/s, and wheel slip. */
export const lockedRpm = (car: Car, gear: number, speedMS: number, slip = 0): number =>
  (((speedMS * (1 + slip)) / car.tyreRadiusM) * ratioOf(car, gear) * 60) / (2 * Math.PI);

/** Road speed, m/s, of a locked driveline at an engine speed, rpm. */
export const speedAtRpm = (car: Car, gear: number, rpm: number): number =>
  ((rpm * 2 * Math.PI) / 60 / ratioOf(car, gear)) * car.tyreRadiusM;

/** Engine speed, rpm: locked, but in first gear never under the launch speed. */
export const engineRpm = (car: Car, gear: number, speedMS: number): number =>
  Math.max(lockedRpm(car, gear, speedMS), gear === 0 ? car.launchRpm : 0);

/** Mass, kg, that rotating parts add to the car in a gear; the engine counts once the clutch has closed. */
export function rotatingMassKg(car: Car, gear: number, locked: boolean): number {
  const engine = locked ? car.engineInertiaKgM2 * ratioOf(car, gear) ** 2 : 0;
  return (car.wheelInertiaKgM2 + engine) / car.tyreRadiusM ** 2;
}

/** Air drag and rolling resistance, N, at a road speed, m/s. */
export const resistanceN = (car: Car, speedMS: number): number =>
  0.5 * car.airDensityKgM3 * car.dragAreaM2 * speedMS * speedMS + car.rolling * car.massKg * 9.80665;

/** Diameter, m, of a tyre by its size: width, m, height in percent of the width, rim, m. */
export const tyreDiameterM = (widthM: number, heightPercent: number, rimM: number): number =>
  (2 * widthM * heightPercent) / 100 + rimM;
