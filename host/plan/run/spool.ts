/** What a stage that brings a turbocharger up gains in time to boost, and what it costs in torque. */
import { torqueWith } from "../engine/limits.ts";
import type { PlanInput } from "../input/plan-input.ts";
import { openPart } from "../ramp/stage-window.ts";
import { engineRun, type RampRun, rampRun } from "./planned-run.ts";

/** Times, s, count from the first movement, without the stage and with it; undefined where the boost is never reached. */
export interface Spool {
  /** From 0 on. */
  readonly stage: number;
  /** Boost at which it goes off, absolute Pa. */
  readonly offPa: number;
  readonly withoutS: number | undefined;
  readonly withS: number | undefined;
  /** Engine speed at which it opens, rpm; what it adds there and what the engine then makes at the upper edge of the flow and at full boost, Nm. */
  readonly openRpm: number;
  readonly addedNm: number;
  readonly torqueNm: number;
}

/** Of a plan with such a stage; `addedW`: power of all stages. Undefined without one. */
export function spoolOf(input: PlanInput, run: RampRun, addedW: number): Spool | undefined {
  const stage = run.stages.findIndex(({ offPa }) => offPa !== undefined);
  const window = run.stages[stage];
  if (window?.offPa === undefined) return undefined;
  const { offPa, openRpm, part } = window;
  const shut = run.stages.map((other, i): typeof other =>
    i === stage ? { ...other, ramp: [[0, 0]] } : other,
  );
  const high = addedW * input.nitrous.edges.high;
  const timed = { keepsSamples: false, boostPa: offPa };
  const alone = run.stages.length === 1;
  return {
    stage,
    offPa,
    withoutS: (alone ? engineRun(input, timed) : rampRun(input, { ...run, stages: shut }, timed)).boostedS,
    withS: rampRun(input, run, timed).boostedS,
    openRpm,
    addedNm: (part * high * 60) / (2 * Math.PI * openRpm),
    torqueNm: torqueWith(input.car.torque, high * openPart(run.stages, openRpm), openRpm),
  };
}
