/** The driven wheels for one step: their speed follows implicitly, because a tyre at low road speed is far stiffer than a step is long. */
import type { Table } from "./table.ts";

/** Below this road speed, m/s, slip counts against it: a standing wheel has a slip too. */
export const SLIP_FLOOR_MS = 3;

const ROUNDS = 12;
/** A change of speed so small ends the search; what is left of the force then comes in the next step. */
const CLOSE_MS = 1e-5;

/** Tread speed of the wheels, m/s, and force of the tyres on the road, N; `friction` over slip. */
export class WheelStep {
  readonly friction: Table;
  speedMS = 0;
  forceN = 0;

  constructor(friction: Table) {
    this.friction = friction;
  }
}

/**
 * Finds the tread speed after the step: `kgPerS` (turning mass over step) times its change, plus the tyres' force there, is the drive, N.
 * Newton's method kept between bounds; the sum rises with speed as long as steps are short, so that there is one answer.
 */
export function solveWheel(
  wheel: WheelStep,
  roadMS: number,
  driveN: number,
  kgPerS: number,
  loadN: number,
): void {
  const { friction, speedMS: before } = wheel;
  const perMS = 1 / Math.max(roadMS, SLIP_FLOOR_MS);
  let low = Number.NEGATIVE_INFINITY;
  let high = Number.POSITIVE_INFINITY;
  let speed = before;
  for (let i = 0; i < ROUNDS; i++) {
    const slip = (speed - roadMS) * perMS;
    const size = slip < 0 ? -slip : slip;
    const forceN = (slip < 0 ? -loadN : loadN) * friction.at(size);
    const excess = kgPerS * (speed - before) + forceN - driveN;
    if (excess > 0) high = speed;
    else low = speed;
    const slope = kgPerS + loadN * friction.slopeAt(size) * perMS;
    let next = speed - excess / (slope > 0 ? slope : kgPerS);
    if (next < low || next > high) next = (low + high) / 2;
    const moved = next - speed;
    speed = next;
    if (moved < CLOSE_MS && moved > -CLOSE_MS) break;
  }
  wheel.speedMS = Math.max(speed, 0);
  wheel.forceN = driveN - kgPerS * (wheel.speedMS - before);
}
