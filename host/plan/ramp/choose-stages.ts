/** Chooses the number of stages, their division of the power and the axis of their ramps by simulation. */

import type { Nitrous } from "#host/car/settled/run.ts";
import type { PlanInput } from "../input/plan-input.ts";
import type { FitEffort } from "./fit.ts";
import type { RampAxis } from "./share-limits.ts";
import { planRamps, type RampPlan } from "./stages.ts";
import { type ValveRange, valveRange } from "./valve.ts";

/** Divisions that are tried for each number of stages, small stage first. */
const DIVISIONS: Readonly<Record<number, readonly (readonly number[])[]>> = {
  1: [[1]],
  2: [
    [0.5, 0.5],
    [0.4, 0.6],
    [0.3, 0.7],
  ],
  3: [
    [0.25, 0.35, 0.4],
    [1 / 3, 1 / 3, 1 / 3],
  ],
  4: [[0.25, 0.25, 0.25, 0.25]],
};

/** Enough to compare candidates by; the one that is chosen is fitted again with all effort. */
const COARSE_EFFORT: FitEffort = { axisValues: 40, values: 9, points: 12, least: 0 };

/** A further stage must save this much, s, to be worth its valves. */
const WORTH_A_STAGE_S = 0.02;
/** Above this smallest pulsed step, W, each opening is a shock to the engine (about 50 hp; judgement, no source). */
const ROUGH_STEP_W = 37_000;

/** A choice with all candidates: quarter-mile times by number of stages and by axis. */
export interface StageChoice {
  readonly ramps: RampPlan;
  readonly valves: ValveRange;
  readonly tried: readonly {
    readonly axis: RampAxis;
    readonly parts: readonly number[];
    readonly quarterS: number;
  }[];
}

/** Range of shares of the valves at their slowest opening. */
const valvesOf = (input: PlanInput): ValveRange =>
  valveRange({
    openingS: input.nitrous.opening10VS,
    closingS: input.nitrous.closingS,
    frequencyHz: input.nitrous.frequencyHz,
  });

/** Axes that the sensors allow, best first: road speed follows the car whatever happens, time only fits a run like the planned one. */
function possibleAxes(input: PlanInput): RampAxis[] {
  const axes: RampAxis[] = [];
  if (input.control.pulsesPerM !== undefined) axes.push("road-speed");
  if (input.control.launchSwitch) axes.push("launch");
  return [...axes, "engine-speed"];
}

/** Chooses stages and axis. `dry` keeps to one stage unless the file asks for more. */
export function chooseStages(
  input: PlanInput,
  nitrous: Nitrous,
  dry: boolean,
  effort: FitEffort = COARSE_EFFORT,
): StageChoice {
  const valves = valvesOf(input);
  const tried: { axis: RampAxis; parts: readonly number[]; quarterS: number }[] = [];
  const attempt = (axis: RampAxis, parts: readonly number[]): RampPlan => {
    const ramps = planRamps(input.car, nitrous, axis, parts, valves, effort);
    tried.push({ axis, parts, quarterS: ramps.run.quarterS });
    return ramps;
  };
  const best = (axis: RampAxis, count: number) =>
    (DIVISIONS[count] ?? [])
      .map((parts) => attempt(axis, parts))
      .reduce((a, b) => (b.run.quarterS < a.run.quarterS - 1e-4 ? b : a));
  const axes = input.goal.axis === undefined ? possibleAxes(input) : [input.goal.axis];
  const axis = axes[0] ?? "engine-speed";
  for (const other of axes.slice(1)) attempt(other, [1]);
  const { parts } = input.goal;
  if (parts) return { ramps: attempt(axis, parts), valves, tried };
  const counts = input.goal.stages === undefined ? (dry ? [1] : [1, 2]) : [input.goal.stages];
  const [first, ...more] = counts.map((count) => best(axis, count));
  const rough = valves.least * nitrous.addedW > ROUGH_STEP_W;
  const ramps = more.reduce(
    (a, b) => (rough || b.run.quarterS < a.run.quarterS - WORTH_A_STAGE_S ? b : a),
    first!,
  );
  return { ramps, valves, tried };
}
