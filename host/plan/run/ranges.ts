/** Results as ranges: what the planned jets and ramps give at the edges of flow and battery, and what other added powers would run. */

import { chooseKind } from "../choose-kind.ts";
import { torqueWith } from "../engine/limits.ts";
import type { PlanInput } from "../input/plan-input.ts";
import type { MixtureRange } from "../nitrous/mixture.ts";
import { COARSE_EFFORT } from "../ramp/choose-stages.ts";
import type { RampAxis } from "../ramp/share-limits.ts";
import { dividedOf, idealParts, openPart } from "../ramp/stage-window.ts";
import { fitRamps, Reference } from "../ramp/stages.ts";
import type { ValveRange } from "../ramp/valve.ts";
import { PLANNED_EDGES } from "./driven-run.ts";
import type { PowerTime } from "./goal.ts";
import { type RampRun, rampRun } from "./planned-run.ts";
import { steadySupply } from "./supply.ts";

/** A result from the lower to the upper edge of the flow. */
export type Range = readonly [low: number, high: number];

/** Power, W, highest torque in the window, Nm, time of the quarter mile, s (the quicker first), and runs of a fill. */
export interface Ranges {
  readonly addedW: Range;
  readonly torqueNm: Range;
  readonly quarterS: Range;
  readonly runs: Range;
}

/** Shares of the wanted power that are compared by their time. */
const COMPARED = [0.4, 0.55, 0.7, 0.85];

/** Highest torque, Nm, with all stages that are open at each engine speed. */
const peakTorque = ({ car }: PlanInput, { nitrous, stages }: RampRun, addedW: number): number => {
  const { openRpm, closeRpm } = nitrous;
  const count = Math.floor((closeRpm - openRpm) / 50) + 1;
  const speeds = Array.from({ length: count }, (_, i) => openRpm + 50 * i);
  return Math.max(...speeds.map((rpm) => torqueWith(car.torque, addedW * openPart(stages, rpm), rpm)));
};

/** Power, torque and time at both edges of the flow, the time at the lowest battery too, with the planned window and ramps; `plannedW` is what the run's supply adds. */
export function rangesOf(
  input: PlanInput,
  run: RampRun,
  plannedW: number,
  { addedW: edges }: MixtureRange,
): Omit<Ranges, "runs"> {
  const time = (addedW: number, lowBattery = false) =>
    rampRun(input, run, {
      edges: { ...PLANNED_EDGES, flowShare: addedW / plannedW, lowBattery },
      keepsSamples: false,
    }).quarterS;
  const torque = (addedW: number) => peakTorque(input, run, addedW);
  const [low, high] = edges;
  const times = [time(low), time(low, true), time(high), time(high, true)];
  return {
    addedW: edges,
    torqueNm: [torque(low), torque(high)],
    quarterS: [Math.min(...times), Math.max(...times)],
  };
}

/** What a plan was made with: its axis, its stages' parts and the shares its valves make; and the power and time that came out. */
export interface PlannedPower extends PowerTime {
  readonly axis: RampAxis;
  readonly parts: readonly number[];
  readonly valves: ValveRange;
}

/** Time of another power, W, planned like the plan: ramps over its axis with its reserve, in its stages or in those that parts allow earlier. */
function timePlanned(input: PlanInput, addedW: number, { axis, valves, ...like }: PlannedPower): PowerTime {
  const { purposes, stages: count } = input.goal;
  const dry = chooseKind(input, addedW) === "dry";
  const divisions = purposes || count ? [like.parts] : idealParts(input, addedW, dry);
  const times = divisions.map((parts): PowerTime => {
    const { nitrous, stages: windows, withinLimits } = dividedOf(input, addedW, parts);
    const stages = fitRamps(new Reference(input.car, nitrous), axis, windows, valves, COARSE_EFFORT);
    const run = { nitrous, axis, stages, supply: steadySupply(input, addedW, parts) };
    return { addedW, quarterS: rampRun(input, run, { keepsSamples: false }).quarterS, withinLimits };
  });
  return times.reduce(quicker);
}

const quicker = (a: PowerTime, b: PowerTime): PowerTime => (b.quarterS < a.quarterS ? b : a);

/** Jets give an advised power only to a few parts in a hundred: its time is the slowest of these. */
const JETS_GIVE = [0.97, 1.03];

/** Time over added power, up to that of the plan: each with its own window and ramps; the plan's own comes last. */
export function powersUpTo(input: PlanInput, wantedW: number, planned: PlannedPower): PowerTime[] {
  const { addedW, quarterS, withinLimits } = planned;
  const less = COMPARED.map((share) => timePlanned(input, wantedW * share, planned));
  const best = less.reduce(quicker);
  const sure = best.quarterS < quarterS ? slowestAround(input, best, planned) : best;
  return [...less.map((at) => (at === best ? sure : at)), { addedW, quarterS, withinLimits }];
}

function slowestAround(input: PlanInput, best: PowerTime, planned: PlannedPower): PowerTime {
  const around = JETS_GIVE.map((share) => timePlanned(input, best.addedW * share, planned).quarterS);
  return { ...best, quarterS: Math.max(best.quarterS, ...around) };
}
