/** What a slipping clutch passes: fed by a foot at the start, let home after a gear change. */

/** Time constant, s, with which a foot on the clutch, or a launch limiter, holds an engine speed. */
export const HOLD_S = 0.05;
/** The clutch counts as home within this difference, rad/s. */
export const HOME_RAD_S = 5;
/** In first gear the driver slips the clutch again when the engine falls under this share of its launch speed. */
export const SLIP_AGAIN = 0.9;
/** Fed so little that the engine speeds up past this share of its launch speed, the clutch bites. */
const MOST_ABOVE_LAUNCH = 1.5;
/** After a gear change the clutch brings both sides together with this share of its pull at least, whatever the tyres hold. */
const LEAST_PULL = 0.1;

/**
 * Torque, Nm, of a clutch that holds the engine, of an inertia, kg m2, at a speed, rad/s, while the car starts: not more
 * over the engine's own torque than the tyres have to spare, unless the engine runs away.
 */
export function startingNm(
  engineNm: number,
  radS: number,
  heldRadS: number,
  inertiaKgM2: number,
  spareNm: number,
): number {
  const pullNm = ((radS - heldRadS) * inertiaKgM2) / HOLD_S;
  const runawayNm = ((radS - MOST_ABOVE_LAUNCH * heldRadS) * inertiaKgM2) / HOLD_S;
  const fedNm = engineNm + Math.min(spareNm, pullNm);
  return Math.max(0, runawayNm > 0 ? Math.max(fedNm, engineNm + runawayNm) : fedNm);
}

/**
 * Torque, Nm, of a clutch that is let home: the engine's own, and a pull, Nm, that brings both sides together. A pull that the
 * tyres have no room for is spread over a longer time.
 */
export const takingUpNm = (engineNm: number, pullNm: number, spareNm: number): number =>
  engineNm + Math.min(pullNm, Math.max(spareNm, pullNm * LEAST_PULL));
