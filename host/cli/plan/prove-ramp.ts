// `headgate plan --prove-ramp`: the planned ramps of each axis on the control core, at less grip, later starts and the battery's edges, then a spread of the choice.
import { AS_PLANNED, type Conditions } from "#host/bench/loop/conditions.ts";
import { quantile } from "#host/bench/loop/quantiles.ts";
import type { PlanInput } from "#host/plan/input/plan-input.ts";
import { makePlan } from "#host/plan/plan.ts";
import { HOLDING_IS_WORTH_S, possibleAxes, worthOver } from "#host/plan/ramp/choose-stages.ts";
import type { RampAxis } from "#host/plan/ramp/share-limits.ts";
import { type AxisProof, holdsAsAsked, provenBest, type RampProof } from "#host/plan/run/ramp-proof.ts";
import { supplyOf } from "#host/plan/run/supply.ts";
import { settingsOf } from "#host/plan/settings-document.ts";
import type { SystemPlan } from "#host/plan/system-plan.ts";
import { pack, toBytes } from "#shared-schema/settings/pack.ts";
import { coreModule } from "../bench/controllers.ts";
import { storedFlash } from "../bench/rig-flash.ts";
import { axisProof, COARSE, FINE, type Planned, spreadOf, underEach } from "./ramp-axis.ts";
import { RampCrew } from "./ramp-crew.ts";

const SPREAD_RUNS = 50;
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

async function plannedFor(input: PlanInput, plan: SystemPlan, module: WebAssembly.Module): Promise<Planned> {
  const settings = settingsOf(input, plan);
  const { bytes: flash } = await storedFlash(module, toBytes(pack(settings)));
  const driven = { car: input.car, driver: input.driver, supply: supplyOf(input, plan, settings) };
  return { input, plan, job: { driven, settings, module, flash } };
}

/** The input of a plan for one axis and, when given, one reserve; its power is the plan's. */
function inputFor(input: PlanInput, plan: SystemPlan, axis: RampAxis, reserve?: number): PlanInput {
  const goal = { ...input.goal, addedW: plan.added.wantedW, quarterS: undefined, axis };
  if (reserve === undefined) return { ...input, goal };
  const car = { ...input.car, grip: { ...input.car.grip, reserve } };
  return { ...input, car, goal, hold: { ...input.hold, reserve } };
}

/** The same axis with more reserve, as long as the core spins where it should not; the first when no reserve helps, or the engine alone spins. */
async function raised(first: Proof, module: WebAssembly.Module, crew: RampCrew): Promise<Proof> {
  const { input, plan } = first.planned;
  if (input.hold.reserve !== undefined) return first;
  const edge: Conditions = {
    ...AS_PLANNED,
    gripShare: 1 - input.hold.gripLoss,
    lateS: plan.axis === "launch" ? input.hold.lateS : 0,
  };
  const spins = async (planned: Planned, flowShare: number): Promise<boolean> => {
    const at = [{ ...edge, flowShare }];
    const [seen] = await underEach(planned, crew, at, { from: 1, untilSpin: true });
    return seen === undefined || seen.overPeakS > 0;
  };
  if (await spins(first.planned, 0)) return first;
  for (let n = 1; n <= MOST_RAISES; n++) {
    const asked = inputFor(input, plan, plan.axis, plan.hold.reserve + n * RAISE);
    const planned = await plannedFor(asked, makePlan(asked), module);
    if (await spins(planned, 1)) continue;
    const proof = await axisProof(planned, FINE, crew);
    if (holdsAsAsked(proof, input.hold)) return { planned, proof };
  }
  return first;
}

/** Does another axis hold where the chosen one does not, at a bearable price? */
const isSurer = (best: AxisProof, chosen: AxisProof, hold: PlanInput["hold"]): boolean =>
  holdsAsAsked(best, hold) &&
  !holdsAsAsked(chosen, hold) &&
  best.quarterS <= chosen.quarterS + HOLDING_IS_WORTH_S;

/** What an axis holds, and with which plan. */
interface Proof {
  readonly planned: Planned;
  readonly proof: AxisProof;
}

/** The other axes that the sensors allow, each with a plan of its own: made while the workers drive the first. */
async function otherAxes(
  input: PlanInput,
  made: SystemPlan,
  module: WebAssembly.Module,
  crew: RampCrew,
): Promise<Proof[]> {
  const proofs: Promise<Proof>[] = [];
  for (const axis of possibleAxes(input)) {
    if (axis === made.axis) continue;
    const asked = inputFor(input, made, axis);
    const planned = await plannedFor(asked, makePlan(asked), module);
    proofs.push(axisProof(planned, COARSE, crew).then((proof) => ({ planned, proof })));
  }
  return Promise.all(proofs);
}

/** All axes, the plan's own first, and of them the one to take. */
async function chosenAxis(
  input: PlanInput,
  made: SystemPlan,
  crew: RampCrew,
): Promise<{ chosen: Proof; axes: AxisProof[] }> {
  const module = coreModule();
  const planned = await plannedFor(input, made, module);
  const [proof, others] = await Promise.all([
    axisProof(planned, FINE, crew),
    otherAxes(input, made, module, crew),
  ]);
  let chosen: Proof = { planned, proof };
  if (!holdsAsAsked(proof, input.hold)) chosen = await raised(chosen, module, crew);
  const proofs = [chosen, ...others];
  const axes = proofs.map((one) => one.proof);
  const best = provenBest(axes, input.hold);
  const clearlyS = Math.max(CLEARLY_S, worthOver({ axis: made.axis, input }));
  const isQuicker = best.quarterS < chosen.proof.quarterS - clearlyS;
  if (isQuicker || isSurer(best, chosen.proof, input.hold))
    chosen = proofs.find((one) => one.proof === best)!;
  return { chosen, axes };
}

/** Proves a plan's ramps. Runs that the user interrupts are missing from it. */
export async function proveRamp(input: PlanInput, made: SystemPlan, options: ProofOptions): Promise<Proven> {
  const crew = new RampCrew(options.workers, options.signal);
  try {
    const { chosen, axes } = await chosenAxis(input, made, crew);
    const runs = await spreadOf(chosen.planned, crew, options.runs ?? SPREAD_RUNS);
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
  } finally {
    await crew.end();
  }
}
