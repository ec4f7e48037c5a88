/** Results as ranges: what the planned jets and ramps give at the edges of flow and battery, and what other added powers would run. */
import { torqueWith } from "../engine/limits.ts";
import type { PlanInput } from "../input/plan-input.ts";
import type { MixtureRange } from "../nitrous/mixture.ts";
import { openPart } from "../ramp/stage-window.ts";
import { PLANNED_EDGES } from "./driven-run.ts";
import { type PowerTime, timeOf } from "./goal.ts";
import { type RampRun, rampRun } from "./planned-run.ts";

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
const COMPARED = [0.4, 0.5, 0.6, 0.7, 0.85, 1];

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

/** Time over added power, up to the wanted one, W, each with its own window and its best possible ramp. */
export const powersUpTo = (input: PlanInput, wantedW: number): PowerTime[] =>
  COMPARED.map((share) => timeOf(input, wantedW * share));
