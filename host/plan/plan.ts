/** The whole plan: each step's sums are elsewhere, here they are put in order. */

import { planBottle } from "./bottle-plan.ts";
import { engineRpm, speedAtRpm } from "./car.ts";
import { cautionsFor } from "./cautions.ts";
import { INSTALLATION } from "./checklist.ts";
import { chooseStages, type StageChoice } from "./choose-stages.ts";
import { addedInjectorS, injectorHeadroom, pumpHeadroom } from "./fuel-system.ts";
import { addedPowerOf, nitrousOf } from "./goal.ts";
import type { PlanInput } from "./input/plan-input.ts";
import { largestAddedW, tightestPart, torqueLimit, torqueWith } from "./limits.ts";
import { mixtureOverPressure } from "./mixture.ts";
import { engineFuel, retardDeg } from "./power.ts";
import { quarterMileRules } from "./quarter-mile.ts";
import type { FitEffort } from "./ramp-fit.ts";
import { chooseKind, chooseLayout, recommend } from "./recommend.ts";
import { type Nitrous, type Run, simulate } from "./run.ts";
import { type Sizing, sizeSystem } from "./sizing.ts";
import type { PlannedStage, RunTimes, SystemKind, SystemPlan, TorqueRow, TraceRow } from "./system-plan.ts";
import { torqueAt } from "./torque-curve.ts";

/** Largest duty that injectors keep up (common practice, no source). */
const INJECTOR_DUTY = 0.85;
const TRACE_EVERY = 10;

const timesOf = ({ quarterS, eighthS, trapMS }: Run): RunTimes => ({ quarterS, eighthS, trapMS });

function torqueRows(input: PlanInput, nitrous: Nitrous): TorqueRow[] {
  const first = 1500;
  const count = Math.floor((input.engine.limiterRpm - first) / 100) + 1;
  return Array.from({ length: count }, (_, i) => {
    const rpm = first + 100 * i;
    const limit = torqueLimit(input.limits, rpm);
    return {
      rpm,
      engineNm: torqueAt(input.car.torque, rpm),
      withNm: torqueWith(input.car.torque, nitrous.addedW, rpm),
      limitNm: Number.isFinite(limit) ? limit : undefined,
    };
  });
}

function traceRows(run: Run): TraceRow[] {
  return run.samples
    .filter((_, i) => i % TRACE_EVERY === 0)
    .map(({ timeS, speedMS, rpm, gear, share, shareLimit, open, forceN, forceLimitN }) => {
      return { timeS, speedMS, rpm, gear, share, shareLimit, open, forceN, forceLimitN };
    });
}

const SEARCHED_W = 2e6;

function largestOf(input: PlanInput, nitrous: Nitrous): SystemPlan["largest"] {
  const { car, limits, closeRpm, hysteresisRpm } = input;
  if (limits.length === 0) return undefined;
  const addedW = largestAddedW(car.torque, limits, closeRpm, hysteresisRpm, SEARCHED_W);
  const { part, rpm } = tightestPart(car.torque, limits, nitrous.openRpm - hysteresisRpm, closeRpm);
  return { addedW, part, rpm };
}

/** Engine speed after each upshift of the run, rpm. */
function speedsAfterShift(input: PlanInput, run: Run): number[] {
  const top = run.samples.at(-1)?.gear ?? 0;
  const { car } = input;
  return Array.from({ length: top }, (_, gear) =>
    engineRpm(car, gear + 1, speedAtRpm(car, gear, car.shiftRpm)),
  );
}

function stagesOf(sizing: Sizing, choice: StageChoice): PlannedStage[] {
  return sizing.stages.map((jets, i) => ({
    ...jets,
    addedW: sizing.addedW * jets.part,
    nitrousKgS: sizing.nitrousKgS * jets.part,
    fuelKgS: sizing.fuelKgS * jets.part,
    ramp: choice.ramps.stages[i]!.ramp,
  }));
}

function fuelSystem(input: PlanInput, sizing: Sizing, kind: SystemKind, nitrous: Nitrous) {
  const { fuel, injectorM3S, injectors, pumpM3S } = input.fuel;
  const { engine } = input;
  const own = engineFuel(engine.powerW, fuel, engine.lambda, engine.efficiency);
  const through = kind === "dry" ? own + sizing.fuelKgS : own;
  const added = (rpm: number) => addedInjectorS(sizing.fuelKgS, injectorM3S ?? 1, injectors, rpm, fuel);
  return {
    pump: pumpM3S === undefined ? undefined : pumpHeadroom(own + sizing.fuelKgS, pumpM3S, fuel),
    injectors:
      injectorM3S === undefined
        ? undefined
        : injectorHeadroom(through, injectorM3S, injectors, INJECTOR_DUTY, fuel),
    dryInjectorS:
      kind === "dry" && injectorM3S !== undefined
        ? { atOpenS: added(nitrous.openRpm), atCloseS: added(nitrous.closeRpm) }
        : undefined,
  };
}

/**
 * Makes a plan. Throws GoalUnreachable when the quarter-mile goal cannot be met and ChainTooNarrow when bores that the file
 * gives cannot pass the flow; both name what to change.
 */
export function makePlan(input: PlanInput, effort?: FitEffort): SystemPlan {
  const without = simulate(input.car);
  const wantedW = addedPowerOf(input, without);
  const kind = chooseKind(input, wantedW);
  const layout = chooseLayout(input, wantedW, kind);
  const nozzles = layout === "nozzle for each cylinder" ? input.engine.cylinders : layout === "plate" ? 4 : 1;
  const { nitrous, withinLimits } = nitrousOf(input, wantedW);
  const choice = chooseStages(input, nitrous, kind === "dry", effort);
  const parts = choice.ramps.stages.map((s) => s.part);
  const sizing = sizeSystem(input, wantedW, parts, nozzles, kind === "wet");
  const run = choice.ramps.run;
  const mixture = mixtureOverPressure(input, sizing);
  const facts = {
    name: input.name,
    airPa: input.air.pressurePa,
    kind,
    layout,
    fuelName: input.fuel.fuel.name,
    base: {
      powerW: input.engine.powerW,
      cylinders: input.engine.cylinders,
      limiterRpm: input.engine.limiterRpm,
    },
    added: {
      wantedW,
      powerW: sizing.addedW,
      shareOfBase: wantedW / input.engine.powerW,
      perCylinderW: (input.engine.powerW + wantedW) / input.engine.cylinders,
    },
    retardDeg: retardDeg(wantedW),
    sizing,
    ...fuelSystem(input, sizing, kind, nitrous),
    window: {
      openRpm: nitrous.openRpm,
      closeRpm: nitrous.closeRpm,
      hysteresisRpm: input.hysteresisRpm,
      withinLimits,
    },
    largest: largestOf(input, nitrous),
    torque: torqueRows(input, nitrous),
    axis: choice.ramps.axis,
    valves: choice.valves,
    stages: stagesOf(sizing, choice),
    tried: choice.tried,
    runs: { without: timesOf(without), limit: timesOf(simulate(input.car, nitrous)), planned: timesOf(run) },
    rules: quarterMileRules(input.car.massKg, input.engine.powerW + wantedW),
    overpoweredS: run.overpoweredS,
    rpmAfterShift: speedsAfterShift(input, run),
    trace: traceRows(run),
    mixture,
    bottle: planBottle(input, run, mixture),
    checklist: INSTALLATION,
    assumptions: input.assumptions,
  };
  return { ...facts, recommendations: recommend(input, facts), cautions: cautionsFor(input, facts) };
}
