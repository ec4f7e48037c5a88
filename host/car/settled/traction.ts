/**
 * Traction of the driven tyres, with weight transfer. From the balance of forces and moments of a rigid car on
 * flat ground (e.g. T. D. Gillespie, Fundamentals of Vehicle Dynamics, SAE 1992, chapter 1; from memory).
 */
import { STANDARD_GRAVITY } from "#host/units/constants.ts";
import { type CarData, ratioOf, resistanceN, rotatingMassKg, type TyreGrip } from "../car.ts";
import { interpolateLine, radPerS, torqueAt } from "../torque-curve.ts";

const peaks = new WeakMap<TyreGrip["curve"], number>();

/** Highest friction of a tyre; asked for in every step, found once for each curve. */
export function peakFriction({ curve }: TyreGrip): number {
  const known = peaks.get(curve);
  if (known !== undefined) return known;
  let peak = 0;
  for (const [, friction] of curve) peak = Math.max(peak, friction);
  peaks.set(curve, peak);
  return peak;
}

type Line = readonly (readonly [number, number])[];
const risings = new WeakMap<TyreGrip["curve"], Line>();

/** Slip over friction on the rising side of a curve; asked for in every step, made once for each curve. */
function risingSide(grip: TyreGrip): Line {
  const known = risings.get(grip.curve);
  if (known !== undefined) return known;
  const peak = peakFriction(grip);
  const end = grip.curve.findIndex(([, value]) => value === peak);
  const rising = grip.curve.slice(0, end + 1).map(([slip, value]) => [value, slip] as const);
  const line: Line = [[0, 0], ...rising];
  risings.set(grip.curve, line);
  return line;
}

/** Wheel slip, as a share, at the friction in use on the rising side of the curve; zero for a single limit. */
export function slipAt(grip: TyreGrip, friction: number): number {
  if (grip.curve.length < 2) return 0;
  return interpolateLine(risingSide(grip), Math.min(friction, peakFriction(grip)));
}

/**
 * Largest force, N, at the driven contact patches at a friction and a resistance, N: the load on the driven axle moves
 * with the acceleration. For a rear-driven car the force is kept below that at which the front axle leaves the ground.
 * `moved`: share of the load that has moved to the rear so far, 0 to 1; load that leaves a front axle counts at once.
 */
export function tyreLimitN(car: CarData, friction: number, resistance: number, moved = 1): number {
  const weight = car.massKg * STANDARD_GRAVITY;
  const lean = car.gravityHeightM / car.wheelbaseM;
  const rear = car.gravityBehindFrontM / car.wheelbaseM;
  const lift = ((1 - rear) * weight) / lean + resistance;
  if (car.driven === "all") return Math.min(friction * weight, lift);
  if (car.driven === "front") {
    return (friction * ((1 - rear) * weight + lean * resistance)) / (1 + friction * lean);
  }
  const divisor = 1 - friction * lean * moved;
  const slide =
    divisor > 0
      ? (friction * (rear * weight - lean * moved * resistance)) / divisor
      : Number.POSITIVE_INFINITY;
  return Math.min(slide, lift);
}

/** Friction that the plan may use. */
const usableFriction = (grip: TyreGrip): number => peakFriction(grip) * (1 - grip.reserve);

/** Largest force, N, that the engine may send to the wheels: the tyres' limit, plus the part that accelerates the rotating parts. */
export function driveLimitN(
  car: CarData,
  gear: number,
  speedMS: number,
  friction: number,
  locked = true,
  moved = 1,
): number {
  const resistance = resistanceN(car, speedMS);
  const atTyre = tyreLimitN(car, friction, resistance, moved);
  const acceleration = Math.max(0, atTyre - resistance) / car.massKg;
  return atTyre + rotatingMassKg(car, gear, locked) * acceleration;
}

/** Force, N, at the wheels of an engine torque, Nm, in a gear. */
export const wheelForceN = (car: CarData, gear: number, torqueNm: number): number =>
  (torqueNm * ratioOf(car, gear) * car.efficiency) / car.tyreRadiusM;

/** Share of the load that has moved so long, s, after the car began to pull. */
export const loadMoved = (car: CarData, sinceS: number): number =>
  1 - Math.exp(-sinceS / car.motion.axleLagS);

/** Torque, Nm, that parts or tyres allow at an engine speed; it limits the nitrous. */
export type TorqueLimit = (rpm: number) => number;

/** What bounds a share besides the tyres: torque limit of the parts, and the factor of the flow that the tyres must bear. */
export interface ShareBounds {
  readonly torqueLimit?: TorqueLimit | undefined;
  readonly tyreFlow?: number | undefined;
}

/** A moment as the limit sees it; `sinceS`: time since the car began to pull, s, left out once its load has moved. */
interface Pull {
  readonly gear: number;
  readonly speedMS: number;
  readonly rpm: number;
  readonly locked: boolean;
  readonly sinceS?: number | undefined;
}

/** Share (0 to 1) of an added power, W, that the tyres and a torque limit allow at a speed, m/s, gear and engine speed, rpm. */
export function shareLimit(
  car: CarData,
  addedW: number,
  at: Pull,
  { torqueLimit, tyreFlow = 1 }: ShareBounds = {},
): number {
  const moved = at.sinceS === undefined ? 1 : loadMoved(car, at.sinceS);
  const force = driveLimitN(car, at.gear, at.speedMS, usableFriction(car.grip), at.locked, moved);
  const own = torqueAt(car.torque, at.rpm);
  const byTyres = (force / wheelForceN(car, at.gear, 1) - own) / tyreFlow;
  const spare = torqueLimit === undefined ? byTyres : Math.min(byTyres, torqueLimit(at.rpm) - own);
  return Math.min(1, Math.max(0, (spare * radPerS(at.rpm)) / addedW));
}
