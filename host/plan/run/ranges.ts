/** Results as ranges: what the planned jets and ramps give at the edges of the flow, and what other added powers would run. */
import type { Nitrous } from "#host/car/settled/run.ts";
import { torqueWith } from "../engine/limits.ts";
import type { PlanInput } from "../input/plan-input.ts";
import type { MixtureRange } from "../nitrous/mixture.ts";
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

const peakTorque = ({ car }: PlanInput, { openRpm, closeRpm }: Nitrous, addedW: number): number => {
  const count = Math.floor((closeRpm - openRpm) / 50) + 1;
  return Math.max(
    ...Array.from({ length: count }, (_, i) => torqueWith(car.torque, addedW, openRpm + 50 * i)),
  );
};

/** Power, torque and time at both edges of the flow, with the planned window and ramps; `plannedW` is what the run's supply adds. */
export function rangesOf(
  input: PlanInput,
  run: RampRun,
  plannedW: number,
  { addedW: edges }: MixtureRange,
): Omit<Ranges, "runs"> {
  const time = (addedW: number) =>
    rampRun(input, run, {
      edges: { ...PLANNED_EDGES, flowShare: addedW / plannedW },
      keepsSamples: false,
    }).quarterS;
  const torque = (addedW: number) => peakTorque(input, run.nitrous, addedW);
  const [low, high] = edges;
  const times = [time(low), time(high)];
  return {
    addedW: edges,
    torqueNm: [torque(low), torque(high)],
    quarterS: [Math.min(...times), Math.max(...times)],
  };
}

/** Time over added power, up to the wanted one, W, each with its own window and its best possible ramp. */
export const powersUpTo = (input: PlanInput, wantedW: number): PowerTime[] =>
  COMPARED.map((share) => timeOf(input, wantedW * share));
