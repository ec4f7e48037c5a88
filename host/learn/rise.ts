// By how much one plan asks for more flow than another, anywhere on its ramps.
import { interpolateLine } from "#host/car/torque-curve.ts";
import type { SystemPlan } from "#host/plan/system-plan.ts";

/** What of a plan decides how much may flow when. `stops`: names of the cautions that keep its settings from being written. */
export interface Asked {
  readonly axis: string;
  readonly openRpm: number;
  readonly closeRpm: number;
  readonly stages: readonly {
    readonly part: number;
    readonly ramp: readonly (readonly [at: number, share: number])[];
  }[];
  readonly stops: readonly string[];
}

/** The same of a whole plan. */
export const askedOf = ({ axis, window, stages, cautions }: SystemPlan): Asked => ({
  axis,
  openRpm: window.openRpm,
  closeRpm: window.closeRpm,
  stages,
  stops: cautions.filter(({ level }) => level === "stop").map(({ name }) => name),
});

/** Places at which two plans are compared. */
const PLACES = 200;
/** A flow that the other plan asks for so near on the axis, as a share of its length, is the same flow: ramps have steps. */
const NEAR = 0.01;
/** A window that is wider than before by less is as wide, rpm. */
const AS_WIDE_RPM = 1;

/** Flow, as a share of the full flow of all stages, at a place of the ramps' axis. */
const flowAt = ({ stages }: Asked, at: number): number =>
  stages.reduce((sum, { part, ramp }) => sum + part * interpolateLine(ramp, at), 0);

/** The most that a plan asks for within a distance of a place. */
function mostNear(plan: Asked, at: number, near: number): number {
  const knots = plan.stages.flatMap(({ ramp }) => ramp.map(([x]) => x));
  const places = [at - near, at, at + near, ...knots.filter((x) => Math.abs(x - at) < near)];
  return Math.max(...places.map((x) => flowAt(plan, x)));
}

function placesOf(plans: readonly Asked[]): number[] {
  const points = plans.flatMap(({ stages }) => stages.flatMap(({ ramp }) => ramp.map(([at]) => at)));
  const [from, to] = [Math.min(...points), Math.max(...points)];
  const even = Array.from({ length: PLACES + 1 }, (_, i) => from + ((to - from) * i) / PLACES);
  return [...points, ...even];
}

/**
 * The most, in points of percent of full flow, by which `after` asks for more than `before`; negative when it asks for less
 * everywhere, Infinity when they cannot be compared: ramps over another axis, or a window in which nothing flowed before.
 */
export function risePoints(before: Asked, after: Asked): number {
  const wider =
    after.openRpm < before.openRpm - AS_WIDE_RPM || after.closeRpm > before.closeRpm + AS_WIDE_RPM;
  if (after.axis !== before.axis || wider) return Number.POSITIVE_INFINITY;
  const places = placesOf([before, after]);
  const near = NEAR * (Math.max(...places) - Math.min(...places));
  return places.reduce(
    (most, at) => Math.max(most, 100 * (flowAt(after, at) - mostNear(before, at, near))),
    Number.NEGATIVE_INFINITY,
  );
}
