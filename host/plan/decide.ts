/** The decisions of a plan: kind, layout, stages, jets and ramps, each held at the edges of the flow. */
import type { Nitrous } from "#host/car/settled/run.ts";
import { chooseKind, chooseLayout, type Layout, type SystemKind } from "./choose-kind.ts";
import { mostOwnW } from "./engine/own-power.ts";
import type { PlanInput } from "./input/plan-input.ts";
import { LEAST_ABOVE_PA, withTop } from "./input/resolve-window.ts";
import type { Rounding } from "./nitrous/jets.ts";
import { type MixtureRange, mixtureRange } from "./nitrous/mixture.ts";
import { type Sizing, sizeSystem } from "./nitrous/sizing.ts";
import { chooseStages, reservesOf, type StageChoice, withReserve } from "./ramp/choose-stages.ts";
import type { FitEffort } from "./ramp/fit.ts";
import { holdsAtCorners } from "./ramp/holds.ts";
import { dividedOf } from "./ramp/stage-window.ts";
import { planRamps, type RampPlan } from "./ramp/stages.ts";
import { steadySupply } from "./run/supply.ts";

/** What was decided for a car. `input` has the edges of the flow that the chosen jets and line give. */
export interface Decided {
  readonly input: PlanInput;
  readonly range: MixtureRange;
  readonly wantedW: number;
  readonly kind: SystemKind;
  readonly layout: Layout;
  readonly choice: StageChoice & { readonly ramps: RampPlan };
  readonly sizing: Sizing;
  readonly nitrous: Nitrous;
  readonly withinLimits: boolean;
}

const nozzlesOf = (layout: Layout, cylinders: number): number =>
  ({ "one nozzle": 1, plate: 4, "nozzle for each cylinder": cylinders })[layout];

/** Whether an added power, W, stays under the limits of parts and cylinders at the upper edge of the flow. */
function holds(input: PlanInput, addedW: number): boolean {
  const each = (mostOwnW(input) + addedW * input.nitrous.edges.high) / input.engine.cylinders;
  return dividedOf(input, addedW).withinLimits && each <= (input.perCylinderW ?? Number.POSITIVE_INFINITY);
}

type Held = Pick<Decided, "input" | "sizing" | "range">;

/** Edges of the flow as this line and these jets give them: a line loses less of pressed liquid than of boiling one. */
function withEdges(input: PlanInput, sizing: Sizing): Held {
  const range = mixtureRange(input, sizing);
  const { edges } = input.nitrous;
  const high = Math.max(1 + edges.tolerance, range.addedW[1] / sizing.addedW);
  const nitrous = { ...input.nitrous, edges: { ...edges, high } };
  return { input: { ...input, nitrous }, sizing, range };
}

const bears = ({ input, sizing, range }: Held): boolean =>
  range.lean.lambda <= input.charge.lean && holds(input, sizing.addedW);

/**
 * Held at the edges. Where the file gives no window, BOTTLE-HIGH comes down from 75 to as little as 20 psi above the working
 * pressure if mixture and parts hold with that.
 */
function heldAt(input: PlanInput, sizing: Sizing): Held {
  const { window, bottlePa } = input.nitrous;
  const whole = withEdges(input, sizing);
  if (window.given || bears(whole)) return whole;
  const at = (topPa: number) => withEdges(withTop(input, topPa), sizing);
  let [low, high] = [bottlePa + LEAST_ABOVE_PA, window.highestPa];
  let best = at(low);
  if (!bears(best)) return whole;
  for (let i = 0; i < 4; i++) {
    const middle = (low + high) / 2;
    const tried = at(middle);
    if (bears(tried)) [low, best] = [middle, tried];
    else high = middle;
  }
  return best;
}

/** Ramps for the power that the rounded jets give: with more reserve where they no longer hold. */
function finalRamps(
  input: PlanInput,
  sizing: Sizing,
  { axis, valves, holds, alone }: StageChoice,
  effort: FitEffort | undefined,
): { input: PlanInput; ramps: RampPlan; nitrous: Nitrous; withinLimits: boolean; holds: boolean } {
  const parts = sizing.stages.map((s) => s.part);
  const { nitrous, stages, withinLimits } = dividedOf(input, sizing.addedW, parts);
  const supply = steadySupply(input, sizing.addedW, parts);
  const at = (reserve: number) => {
    const tried = withReserve(input, reserve);
    const ramps = planRamps(tried.car, nitrous, axis, stages, valves, effort);
    const run = { nitrous, supply, axis, stages: ramps.stages };
    return { input: tried, ramps, nitrous, withinLimits, holds: holdsAtCorners(tried, run, alone) };
  };
  const { reserve } = input.car.grip;
  const first = at(reserve);
  if (first.holds || !holds) return first;
  const more = reservesOf(input).filter((other) => other > reserve + 1e-9);
  for (const other of more.slice(0, 2)) {
    const found = at(other);
    if (found.holds) return found;
  }
  return first;
}

/** Kind, layout, stages and jets; then the ramps again for the power that the rounded jets give. */
export function decide(given: PlanInput, wantedW: number, effort: FitEffort | undefined): Decided {
  const kind = chooseKind(given, wantedW);
  const layout = chooseLayout(given, wantedW, kind);
  const tried = chooseStages(given, wantedW, kind === "dry", effort);
  const { input } = tried;
  const nozzles = nozzlesOf(layout, input.engine.cylinders);
  const sized = (rounding: Rounding) =>
    sizeSystem(input, wantedW, tried.parts, nozzles, kind === "wet", rounding);
  const nearest = heldAt(input, sized("nearest"));
  const tooMuch = holds(nearest.input, wantedW) && !bears(nearest);
  const held = tooMuch ? heldAt(input, sized("down")) : nearest;
  const { ramps, ...final } = finalRamps(held.input, held.sizing, tried, effort);
  const choice = { ...tried, ramps, holds: final.holds };
  return { ...held, ...final, wantedW, kind, layout, choice };
}
