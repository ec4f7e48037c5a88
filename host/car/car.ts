/**
 * The car as data: what every calculation of motion starts from; SI, engine speed in rpm.
 *
 * How the folder fits together:
 * - `car.ts` (CarData, MotionData), `driver.ts` (Driver) and `supply-data.ts` (SupplyData) hold data, each with what is assumed
 *   where nothing is known (ASSUMED_MOTION, ASSUMED_DRIVER, ASSUMED_LAGS).
 * - `motion.ts`: createMotion(car, driver) gives a Motion. Its step(dtS, input) moves it on and leaves the results in its fields.
 * - `supply.ts`: createSupply(data) gives a Supply. Its step(dtS, pins) turns solenoid pins into flow, pressures and added power.
 * - `settled/`: the limit run without lag and without wheelspin past the peak, with which a plan searches.
 * A closed loop calls, each tick: supply.step(dtS, pins); motion.input.addedW = supply.addedW; motion.step(dtS).
 */
import type { TorqueCurve } from "./torque-curve.ts";

/** Axle that is driven. */
export type Driven = "rear" | "front" | "all";

/** Tyre friction against longitudinal slip (surplus of wheel speed over road speed, as a share of road speed), and the reserve kept below it. */
export interface TyreGrip {
  /** Points of (slip, friction); the highest friction is the limit. A single point is a limit without a curve. */
  readonly curve: readonly (readonly [slip: number, friction: number])[];
  /** Share of the limit that the plan leaves unused, 0 to 1. */
  readonly reserve: number;
}

/** Boost of a turbocharger: steady gauge pressure, Pa, over engine speed, rpm, at full load; the lag, s, with which it builds up; the air around. */
export interface BoostData {
  readonly overRpm: readonly (readonly [rpm: number, gaugePa: number])[];
  readonly lagS: number;
  readonly airPa: number;
}

/** What only the stepped motion needs of a car. A settled run leaves all of it out. */
export interface MotionData {
  /** Slip at the highest friction, where only that friction is known. */
  readonly peakSlip: number;
  /** Friction of a wheel that slides altogether (slip 1 and more), as a share of the highest, where only that is known. */
  readonly slidingShare: number;
  /** Time constant, s, with which the load moves between the axles. */
  readonly axleLagS: number;
  /** Time constant, s, with which the filling of the cylinders follows the throttle. */
  readonly intakeS: number;
  /** Drag of the engine with a closed throttle or cut ignition, Nm. */
  readonly brakingNm: number;
  /** Most torque that the clutch carries, Nm. */
  readonly clutchNm: number;
  readonly idleRpm: number;
  /** Ignition is cut at and above this engine speed. */
  readonly limiterRpm: number;
  /** Left out without a turbocharger. The torque curve is then the one at the steady boost. */
  readonly boost?: BoostData | undefined;
  /** Manifold pressure, absolute, Pa, with the throttle closed and open; boost comes on top. */
  readonly closedManifoldPa: number;
  readonly openManifoldPa: number;
}

/** Motion data where nothing better is known: usual orders of magnitude (common practice, no source). */
export const ASSUMED_MOTION: MotionData = {
  peakSlip: 0.1,
  slidingShare: 0.75,
  axleLagS: 0.15,
  intakeS: 0.05,
  brakingNm: 40,
  clutchNm: Number.POSITIVE_INFINITY,
  idleRpm: 900,
  limiterRpm: 7000,
  closedManifoldPa: 32_000,
  openManifoldPa: 98_000,
};

/** A car. Lengths in m, masses in kg, inertias in kg m2 at their own shaft. */
export interface CarData {
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
  /** Of all four wheels; half of it turns with the driven axle, all of it where all wheels are driven. */
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
  readonly motion: MotionData;
}

/** Engine revolutions for each wheel revolution in a gear (0 is first). */
export const ratioOf = (car: CarData, gear: number): number => (car.gears[gear] ?? 1) * car.finalDrive;

/** Engine speed, rpm, of a locked driveline at a road speed, m/s, and wheel slip. */
export const lockedRpm = (car: CarData, gear: number, speedMS: number, slip = 0): number =>
  (((speedMS * (1 + slip)) / car.tyreRadiusM) * ratioOf(car, gear) * 60) / (2 * Math.PI);

/** Road speed, m/s, of a locked driveline at an engine speed, rpm. */
export const speedAtRpm = (car: CarData, gear: number, rpm: number): number =>
  ((rpm * 2 * Math.PI) / 60 / ratioOf(car, gear)) * car.tyreRadiusM;

/** Engine speed, rpm: locked, but in first gear never under the launch speed. */
export const engineRpm = (car: CarData, gear: number, speedMS: number): number =>
  Math.max(lockedRpm(car, gear, speedMS), gear === 0 ? car.launchRpm : 0);

/** Mass, kg, that rotating parts add to the car in a gear; the engine counts once the clutch has closed. */
export function rotatingMassKg(car: CarData, gear: number, locked: boolean): number {
  const engine = locked ? car.engineInertiaKgM2 * ratioOf(car, gear) ** 2 : 0;
  return (car.wheelInertiaKgM2 + engine) / car.tyreRadiusM ** 2;
}

/** Air drag and rolling resistance, N, at a road speed, m/s. */
export const resistanceN = (car: CarData, speedMS: number): number =>
  0.5 * car.airDensityKgM3 * car.dragAreaM2 * speedMS * speedMS + car.rolling * car.massKg * 9.80665;

/** Diameter, m, of a tyre by its size: width, m, height in percent of the width, rim, m. */
export const tyreDiameterM = (widthM: number, heightPercent: number, rimM: number): number =>
  (2 * widthM * heightPercent) / 100 + rimM;
