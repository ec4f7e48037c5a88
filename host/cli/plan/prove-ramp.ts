// `headgate plan --prove-ramp`: the planned ramps of each axis on the control core, at less grip, later starts and the battery's edges, then a spread of the choice.
import { AS_PLANNED, type Conditions } from "#host/bench/loop/conditions.ts";
import { quantile } from "#host/bench/loop/quantiles.ts";
import type { SpreadPlan, SpreadRun } from "#host/bench/loop/spread.ts";
import { batteryTolerance, type Tolerance, USUAL_TOLERANCE } from "#host/bench/loop/tolerance.ts";
import { QUARTER_MILE_M } from "#host/car/quarter-mile.ts";
import type { PlanInput } from "#host/plan/input/plan-input.ts";
import { makePlan } from "#host/plan/plan.ts";
import { HOLDING_IS_WORTH_S, possibleAxes, worthOver } from "#host/plan/ramp/choose-stages.ts";
import type { RampAxis } from "#host/plan/ramp/share-limits.ts";
import {
  type AxisProof,
  heldTo,
  holdsAsAsked,
  provenBest,
  type RampProof,
} from "#host/plan/run/ramp-proof.ts";
import { supplyOf } from "#host/plan/run/supply.ts";
import { settingsOf } from "#host/plan/settings-document.ts";
import type { SystemPlan } from "#host/plan/system-plan.ts";
import { pack, toBytes } from "#shared-schema/settings/pack.ts";
import { coreModule } from "../bench/controllers.ts";
import { storedFlash } from "../bench/rig-flash.ts";
import type { SpreadJob } from "../bench/spread-job.ts";
import { driveRuns } from "../bench/spread-runs.ts";

/** Steps of the conditions, finer for the plan's own axis than for the others. */
const FINE = { grip: 0.025, gripSteps: 12, late: 0.1, lateSteps: 8 };
const COARSE = { grip: 0.05, gripSteps: 5, late: 0.3, lateSteps: 2 };
const SPREAD_RUNS = 50;
const SEED = 1;
/** How often the reserve is raised where the core spins at what the plan's own run held at. */
const MOST_RAISES = 3;
const RAISE = 0.025;
/** Another axis takes over once it is quicker by so much, s. */
const CLEARLY_S = 0.02;

/** A proof and the plan that it is of: another axis or a larger reserve than the plan's own may be what holds. */
export interface Proven {
  readonly plan: SystemPlan;
  readonly proof: RampProof;
}

/** How the runs are made, and how many belong to the spread. */
export interface ProofOptions {
  readonly workers?: number | undefined;
  readonly runs?: number | undefined;
  readonly signal: AbortSignal;
}

/** What a spread of this car draws from. */
const toleranceOf = ({ lags }: PlanInput): Tolerance => ({ ...USUAL_TOLERANCE, ...batteryTolerance(lags) });

interface Planned {
  readonly input: PlanInput;
  readonly plan: SystemPlan;
  readonly job: Omit<SpreadJob, "plan">;
}

async function plannedFor(input: PlanInput, plan: SystemPlan, module: WebAssembly.Module): Promise<Planned> {
  const settings = settingsOf(input, plan);
  const { bytes: flash } = await storedFlash(module, toBytes(pack(settings)));
  const driven = { car: input.car, driver: input.driver, supply: supplyOf(input, plan, settings) };
  return { input, plan, job: { driven, settings, module, flash } };
}

async function runsOf(
  { job }: Planned,
  plan: SpreadPlan,
  count: number,
  options: ProofOptions,
): Promise<SpreadRun[]> {
  const runs: SpreadRun[] = [];
  const numbers = Array.from({ length: count }, (_, run) => run);
  const { workers, signal } = options;
  await driveRuns({
    job: { ...job, plan },
    runs: numbers,
    workers,
    done: (run) => void runs.push(run),
    signal,
  });
  return runs.sort((a, b) => a.run - b.run);
}

/** Drives a list of conditions. */
const under = (
  planned: Planned,
  listed: readonly Conditions[],
  options: ProofOptions,
): Promise<SpreadRun[]> =>
  runsOf(
    planned,
    {
      seed: SEED,
      runs: listed.length,
      tolerance: toleranceOf(planned.input),
      corners: false,
      until: { distanceM: QUARTER_MILE_M },
      listed,
    },
    listed.length,
    options,
  );

async function axisProof(planned: Planned, steps: typeof FINE, options: ProofOptions): Promise<AxisProof> {
  const losses = Array.from({ length: steps.gripSteps + 1 }, (_, i) => steps.grip * i);
  const starts = Array.from({ length: steps.lateSteps }, (_, i) => steps.late * (i + 1));
  const { lags, hold: asked } = planned.input;
  const { batteryDownV, batteryUpV } = batteryTolerance(lags);
  const atGrip = { ...AS_PLANNED, gripShare: 1 - asked.gripLoss };
  const seen = await under(
    planned,
    [
      ...losses.map((loss) => ({ ...AS_PLANNED, gripShare: 1 - loss })),
      ...starts.map((lateS) => ({ ...AS_PLANNED, lateS })),
      ...[-batteryDownV, batteryUpV].map((batteryV) => ({ ...atGrip, batteryV })),
    ],
    options,
  );
  const stepAt = (value: number, i: number) => ({ value, overPeakS: seen[i]?.overPeakS ?? 1 });
  const holdsAt = (i: number): boolean => seen[losses.length + starts.length + i]?.overPeakS === 0;
  const { axis, hold } = planned.plan;
  return {
    axis,
    reserve: hold.reserve,
    quarterS: seen[0]?.quarterS ?? Number.POSITIVE_INFINITY,
    grip: heldTo(losses.map(stepAt)),
    late: heldTo([0, ...starts].map((value, i) => stepAt(value, i === 0 ? 0 : losses.length + i - 1))),
    battery: {
      lowV: lags.batteryLowV,
      highV: lags.batteryHighV,
      lowHolds: holdsAt(0),
      highHolds: holdsAt(1),
    },
  };
}

/** The input of a plan for one axis and, when given, one reserve; its power is the plan's. */
function inputFor(input: PlanInput, plan: SystemPlan, axis: RampAxis, reserve?: number): PlanInput {
  const goal = { ...input.goal, addedW: plan.added.wantedW, quarterS: undefined, axis };
  if (reserve === undefined) return { ...input, goal };
  const car = { ...input.car, grip: { ...input.car.grip, reserve } };
  return { ...input, car, goal, hold: { ...input.hold, reserve } };
}

/** The same axis with more reserve, as long as the core spins where it should not; the first when no reserve helps, or the engine alone spins. */
async function raised(
  first: { planned: Planned; proof: AxisProof },
  module: WebAssembly.Module,
  options: ProofOptions,
): Promise<{ planned: Planned; proof: AxisProof }> {
  const { input, plan } = first.planned;
  if (input.hold.reserve !== undefined) return first;
  const edge: Conditions = {
    ...AS_PLANNED,
    gripShare: 1 - input.hold.gripLoss,
    lateS: plan.axis === "launch" ? input.hold.lateS : 0,
  };
  const spins = async (planned: Planned, flowShare: number): Promise<boolean> => {
    const [seen] = await under(planned, [{ ...edge, flowShare }], options);
    return seen === undefined || seen.overPeakS > 0;
  };
  if (await spins(first.planned, 0)) return first;
  for (let n = 1; n <= MOST_RAISES; n++) {
    const asked = inputFor(input, plan, plan.axis, plan.hold.reserve + n * RAISE);
    const planned = await plannedFor(asked, makePlan(asked), module);
    if (await spins(planned, 1)) continue;
    const proof = await axisProof(planned, FINE, options);
    if (holdsAsAsked(proof, input.hold)) return { planned, proof };
  }
  return first;
}

/** Does another axis hold where the chosen one does not, at a bearable price? */
const isSurer = (best: AxisProof, chosen: AxisProof, hold: PlanInput["hold"]): boolean =>
  holdsAsAsked(best, hold) &&
  !holdsAsAsked(chosen, hold) &&
  best.quarterS <= chosen.quarterS + HOLDING_IS_WORTH_S;

/** Proves a plan's ramps. Runs that the user interrupts are missing from it. */
export async function proveRamp(input: PlanInput, made: SystemPlan, options: ProofOptions): Promise<Proven> {
  const module = coreModule();
  const own = await plannedFor(input, made, module);
  let chosen = { planned: own, proof: await axisProof(own, FINE, options) };
  if (!holdsAsAsked(chosen.proof, input.hold)) chosen = await raised(chosen, module, options);
  const proofs = [chosen];
  for (const axis of possibleAxes(input)) {
    if (axis === made.axis) continue;
    const asked = inputFor(input, made, axis);
    const planned = await plannedFor(asked, makePlan(asked), module);
    proofs.push({ planned, proof: await axisProof(planned, COARSE, options) });
  }
  const axes = proofs.map(({ proof }) => proof);
  const best = provenBest(axes, input.hold);
  const clearlyS = Math.max(CLEARLY_S, worthOver({ axis: made.axis, input }));
  const isQuicker = best.quarterS < chosen.proof.quarterS - clearlyS;
  if (isQuicker || isSurer(best, chosen.proof, input.hold))
    chosen = proofs.find(({ proof }) => proof === best)!;
  const count = options.runs ?? SPREAD_RUNS;
  const spread = { seed: SEED, runs: count, tolerance: toleranceOf(input), corners: false };
  const runs = await runsOf(
    chosen.planned,
    { ...spread, until: { distanceM: QUARTER_MILE_M } },
    count,
    options,
  );
  const times = runs.map(({ quarterS }) => quarterS ?? Number.POSITIVE_INFINITY);
  const at = (share: number) => quantile(times, share) ?? Number.POSITIVE_INFINITY;
  const proof = {
    runs: times.length,
    medianS: at(0.5),
    lowS: at(0.05),
    highS: at(0.95),
    chosen: chosen.proof.axis,
    axes,
  };
  return { plan: { ...chosen.planned.plan, goalS: made.goalS, proof }, proof };
}
