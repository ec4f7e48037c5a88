/** Limits of rods, clutch and gearbox over engine speed; the maker or the user gives them, never this tool. */
import type { TorqueCurve } from "#host/car/torque-curve.ts";
import { radPerS, torqueAt } from "#host/car/torque-curve.ts";

/** A part's limit as torque, Nm, or as engine power, W; exactly one is set. */
export interface PartLimit {
  readonly part: string;
  readonly torqueNm?: number | undefined;
  readonly powerW?: number | undefined;
}

/** Nothing flows under this engine speed (common practice, no source). */
export const LOWEST_OPEN_RPM = 3000;
const RPM_STEP = 50;

/** Torque limit, Nm, of one part at an engine speed. */
export const partTorque = (limit: PartLimit, rpm: number): number =>
  Math.min(
    limit.torqueNm ?? Number.POSITIVE_INFINITY,
    (limit.powerW ?? Number.POSITIVE_INFINITY) / radPerS(rpm),
  );

/** Lowest torque limit, Nm, of all parts at an engine speed; infinite without limits. */
export function torqueLimit(limits: readonly PartLimit[], rpm: number): number {
  let least = Number.POSITIVE_INFINITY;
  for (const limit of limits) least = Math.min(least, partTorque(limit, rpm));
  return least;
}

/** Torque, Nm, with full nitrous: a constant added power, W, is more torque the slower the engine turns. */
export const torqueWith = (curve: TorqueCurve, addedW: number, rpm: number): number =>
  torqueAt(curve, rpm) + addedW / radPerS(rpm);

function fits(curve: TorqueCurve, addedW: number, limits: readonly PartLimit[], rpm: number): boolean {
  return torqueWith(curve, addedW, rpm) <= torqueLimit(limits, rpm);
}

/**
 * Lowest opening speed, rpm, in steps of 50, from which on up to `closeRpm` full nitrous stays under every limit, and that
 * lies its hysteresis above 3000; undefined when there is none at least 500 rpm under the closing speed.
 */
export function lowestOpenRpm(
  curve: TorqueCurve,
  addedW: number,
  limits: readonly PartLimit[],
  closeRpm: number,
  hysteresisRpm: number,
): number | undefined {
  const floor = LOWEST_OPEN_RPM + hysteresisRpm;
  const steps = Math.floor((closeRpm - floor) / RPM_STEP);
  let open: number | undefined;
  for (let k = steps; k >= 0; k--) {
    const rpm = floor + k * RPM_STEP;
    if (!fits(curve, addedW, limits, rpm - hysteresisRpm)) break;
    open = rpm;
  }
  return open !== undefined && closeRpm - open >= 500 ? open : undefined;
}

/** The part that limits the nitrous, and the engine speed: where the margin, W, between torque and limit is smallest. */
export function tightestPart(
  curve: TorqueCurve,
  limits: readonly PartLimit[],
  fromRpm: number,
  closeRpm: number,
): { addedW: number; part: string; rpm: number } {
  let least = { addedW: Number.POSITIVE_INFINITY, part: "", rpm: fromRpm };
  for (let rpm = fromRpm; rpm <= closeRpm; rpm += RPM_STEP) {
    for (const limit of limits) {
      const addedW = Math.max(0, (partTorque(limit, rpm) - torqueAt(curve, rpm)) * radPerS(rpm));
      if (addedW < least.addedW) least = { addedW, part: limit.part, rpm };
    }
  }
  return least;
}

/** Largest added power, W, up to `mostW` for which any opening speed exists; zero if none. */
export function largestAddedW(
  curve: TorqueCurve,
  limits: readonly PartLimit[],
  closeRpm: number,
  hysteresisRpm: number,
  mostW: number,
): number {
  const allows = (addedW: number) =>
    lowestOpenRpm(curve, addedW, limits, closeRpm, hysteresisRpm) !== undefined;
  if (allows(mostW)) return mostW;
  let [low, high] = [0, mostW];
  for (let i = 0; i < 24; i++) {
    const middle = (low + high) / 2;
    if (allows(middle)) low = middle;
    else high = middle;
  }
  return low;
}
