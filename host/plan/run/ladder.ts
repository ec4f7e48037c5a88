/** From the first run to the goal: the smallest stage at a low share, then more of it, then the next; what each step should show. */
import { siteFuelKgS } from "../engine/own-power.ts";
import { addedPowerW, retardDeg, totalLambda } from "../engine/power.ts";
import type { PlanInput } from "../input/plan-input.ts";
import type { Sizing } from "../nitrous/sizing.ts";
import type { RampPlan, StageRamp } from "../ramp/stages.ts";
import { type RampRun, rampRun } from "./planned-run.ts";

/** One step: stages in use, the factor on the shares of the last one's ramp, and what full flow then is. */
export interface LadderStep {
  readonly stages: number;
  readonly factor: number;
  readonly addedW: number;
  readonly nitrousKgS: number;
  readonly retardDeg: number;
  readonly engineLambda: number;
  readonly quarterS: number;
}

/** Factors on the shares of the first stage, and of each further one (common practice: in steps; the numbers are ours). */
const FIRST = [0.3, 0.5, 0.75, 1];
const FURTHER = [0.5, 1];

const scaled = (stages: readonly StageRamp[], used: number, factor: number): StageRamp[] =>
  stages.slice(0, used).map((stage, i) => ({
    ...stage,
    ramp: stage.ramp.map(([at, share]) => [at, i === used - 1 ? share * factor : share] as const),
  }));

/** The stages in use, and the others shut. */
const withShut = (used: readonly StageRamp[], { stages }: RampPlan): StageRamp[] =>
  stages.map((stage, i) => used[i] ?? { ...stage, ramp: [[0, 0]] });

/** The ladder of a plan; its last step is the plan. */
export function ladderOf(input: PlanInput, run: RampRun, sizing: Sizing, ramps: RampPlan): LadderStep[] {
  const { engine, fuel } = input;
  const own = siteFuelKgS(input);
  const steps = ramps.stages.flatMap((_, i) =>
    (i === 0 ? FIRST : FURTHER).map((factor) => ({ stages: i + 1, factor })),
  );
  return steps.map(({ stages, factor }) => {
    const used = scaled(ramps.stages, stages, factor);
    const part = used.reduce((sum, s, i) => sum + s.part * (i === stages - 1 ? factor : 1), 0);
    const [nitrousKgS, fuelKgS] = [sizing.nitrousKgS * part, sizing.fuelKgS * part];
    const addedW = addedPowerW(nitrousKgS, fuelKgS, fuel.fuel, input.nitrous.efficiency);
    return {
      stages,
      factor,
      addedW,
      nitrousKgS,
      retardDeg: retardDeg(addedW),
      engineLambda: totalLambda(own, engine.lambda, nitrousKgS, fuelKgS, fuel.fuel),
      quarterS: rampRun(input, { ...run, stages: withShut(used, ramps) }, { keepsSamples: false }).quarterS,
    };
  });
}
