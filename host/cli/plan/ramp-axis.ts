// What one axis of ramps holds on the control core: ladders of less grip, of later starts, and the battery's edges.
import { AS_PLANNED, type Conditions } from "#host/bench/loop/conditions.ts";
import type { SpreadPlan, SpreadRun } from "#host/bench/loop/spread.ts";
import { batteryTolerance, type Tolerance, USUAL_TOLERANCE } from "#host/bench/loop/tolerance.ts";
import { QUARTER_MILE_M } from "#host/car/quarter-mile.ts";
import type { PlanInput } from "#host/plan/input/plan-input.ts";
import { type AxisProof, heldTo } from "#host/plan/run/ramp-proof.ts";
import type { SystemPlan } from "#host/plan/system-plan.ts";
import type { SpreadJob } from "../bench/spread-job.ts";
import type { RampCrew } from "./ramp-crew.ts";

/** Steps of the conditions, finer for the plan's own axis than for the others. */
export const FINE = { grip: 0.025, gripSteps: 12, late: 0.1, lateSteps: 8 };
export const COARSE = { grip: 0.05, gripSteps: 5, late: 0.3, lateSteps: 2 };
const SEED = 1;
/** Runs of a spread that a worker is sent together. */
const TOGETHER = 2;

/** A plan, wired for the core. */
export interface Planned {
  readonly input: PlanInput;
  readonly plan: SystemPlan;
  readonly job: Omit<SpreadJob, "plan">;
}

/** What a spread of this car draws from. */
const toleranceOf = ({ lags }: PlanInput): Tolerance => ({ ...USUAL_TOLERANCE, ...batteryTolerance(lags) });

const planOf = ({ input }: Planned, runs: number): SpreadPlan => ({
  seed: SEED,
  runs,
  tolerance: toleranceOf(input),
  corners: false,
  until: { distanceM: QUARTER_MILE_M },
});

/** Numbers from one up to, but without, another. */
const numbers = (from: number, to: number): number[] =>
  Array.from({ length: Math.max(0, to - from) }, (_, i) => from + i);

/** Drives conditions in their order; with `untilSpin` up to the first that spins. The first of all is as planned, and driven with `from` 0. */
export function underEach(
  planned: Planned,
  crew: RampCrew,
  listed: readonly Conditions[],
  { from, untilSpin }: { readonly from: 0 | 1; readonly untilSpin: boolean },
): Promise<SpreadRun[]> {
  const plan = { ...planOf(planned, listed.length + 1), listed: [AS_PLANNED, ...listed], endsAtSpin: true };
  return crew.drive({ job: { ...planned.job, plan }, runs: numbers(from, listed.length + 1), untilSpin });
}

/** A spread of so many runs. */
export async function spreadOf(planned: Planned, crew: RampCrew, count: number): Promise<SpreadRun[]> {
  const job = { ...planned.job, plan: planOf(planned, count) };
  const pieces = numbers(0, Math.ceil(count / TOGETHER)).map((piece) =>
    numbers(piece * TOGETHER, Math.min(count, (piece + 1) * TOGETHER)),
  );
  const runs = await Promise.all(pieces.map((some) => crew.drive({ job, runs: some, untilSpin: false })));
  return runs.flat();
}

/** How far an axis holds. What an interruption left out counts as spun. */
export async function axisProof(planned: Planned, steps: typeof FINE, crew: RampCrew): Promise<AxisProof> {
  const losses = numbers(1, steps.gripSteps + 1).map((i) => steps.grip * i);
  const starts = numbers(1, steps.lateSteps + 1).map((i) => steps.late * i);
  const { lags, hold: asked } = planned.input;
  const { batteryDownV, batteryUpV } = batteryTolerance(lags);
  const atGrip = { ...AS_PLANNED, gripShare: 1 - asked.gripLoss };
  const lessGrip = losses.map((loss) => ({ ...AS_PLANNED, gripShare: 1 - loss }));
  const later = starts.map((lateS) => ({ ...AS_PLANNED, lateS }));
  const atBattery = [-batteryDownV, batteryUpV].map((batteryV) => ({ ...atGrip, batteryV }));
  const [grip, late, battery] = await Promise.all([
    underEach(planned, crew, lessGrip, { from: 0, untilSpin: true }),
    underEach(planned, crew, later, { from: 1, untilSpin: true }),
    underEach(planned, crew, atBattery, { from: 1, untilSpin: false }),
  ]);
  const first = grip[0];
  const stepsOf = (values: readonly number[], seen: readonly (SpreadRun | undefined)[]) =>
    heldTo([0, ...values].map((value, i) => ({ value, overPeakS: seen[i]?.overPeakS ?? 1 })));
  const [low, high] = battery.map(({ overPeakS }) => overPeakS === 0);
  const { axis, hold } = planned.plan;
  return {
    axis,
    reserve: hold.reserve,
    quarterS: first?.quarterS ?? Number.POSITIVE_INFINITY,
    grip: stepsOf(losses, grip),
    late: stepsOf(starts, [first, ...late]),
    battery: {
      lowV: lags.batteryLowV,
      highV: lags.batteryHighV,
      lowHolds: low ?? false,
      highHolds: high ?? false,
    },
  };
}
