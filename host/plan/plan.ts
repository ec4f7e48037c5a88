/** The whole plan: calls the calculations of every step in order. */

import { engineRpm, speedAtRpm } from "#host/car/car.ts";
import { quarterMileRules } from "#host/car/quarter-mile.ts";
import { type Nitrous, type Run, simulate } from "#host/car/settled/run.ts";
import { torqueAt } from "#host/car/torque-curve.ts";
import { accessoriesOf } from "./accessories.ts";
import { cautionsFor } from "./cautions/cautions.ts";
import { INSTALLATION } from "./checklist.ts";
import { type Decided, decide, mostOwnW, siteW } from "./decide.ts";
import { addedInjectorS, injectorHeadroom, pumpHeadroom } from "./engine/fuel-system.ts";
import { largestAddedW, tightestPart, torqueLimit, torqueWith } from "./engine/limits.ts";
import { engineFuel, retardDeg } from "./engine/power.ts";
import type { PlanInput } from "./input/plan-input.ts";
import { planBottle } from "./nitrous/bottle-plan.ts";
import { dayTable } from "./nitrous/day-table.ts";
import { mixtureOverPressure } from "./nitrous/mixture.ts";
import { type Sizing, stageFuel } from "./nitrous/sizing.ts";
import type { StageChoice } from "./ramp/choose-stages.ts";
import type { FitEffort } from "./ramp/fit.ts";
import { recommend } from "./recommend.ts";
import { addedPowerOf } from "./run/goal.ts";
import { ladderOf } from "./run/ladder.ts";
import { powersUpTo, rangesOf } from "./run/ranges.ts";
import type { PlannedStage, RunTimes, SystemKind, SystemPlan, TorqueRow, TraceRow } from "./system-plan.ts";

/** Largest duty at which injectors still meter reliably (common practice, no source). */
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
      highNm: torqueWith(input.car.torque, nitrous.addedW * input.nitrous.edges.high, rpm),
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
  const { high } = input.nitrous.edges;
  const addedW = largestAddedW(car.torque, limits, closeRpm, hysteresisRpm, SEARCHED_W) / high;
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

function stagesOf(input: PlanInput, sizing: Sizing, choice: StageChoice): PlannedStage[] {
  return sizing.stages.map((jets, i) => ({
    ...jets,
    addedW: sizing.addedW * jets.part,
    nitrousKgS: sizing.nitrousKgS * jets.part,
    fuelKgS: stageFuel(input, sizing, [jets]),
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

function headline(input: PlanInput, { wantedW, kind, layout, sizing }: Decided) {
  const { powerW, cylinders, limiterRpm } = input.engine;
  const most = mostOwnW(input);
  return {
    name: input.name,
    airPa: input.air.pressurePa,
    kind,
    layout,
    fuelName: input.fuel.fuel.name,
    base: {
      powerW,
      siteW: siteW(input),
      cylinders,
      limiterRpm,
      pulsesPerRev: input.control.pulsesPerRev,
    },
    site: { heightM: input.heightM, temperatureK: input.air.temperatureK },
    fuelTest: {
      dropPa: input.fuel.gaugePa - input.engine.boostPa,
      densityKgM3: input.fuel.fuel.densityKgM3,
    },
    added: {
      wantedW,
      powerW: sizing.addedW,
      shareOfBase: sizing.addedW / powerW,
      perCylinderW: (siteW(input) + sizing.addedW) / cylinders,
      perCylinderHighW: [
        (most + sizing.addedW * (1 + input.nitrous.edges.tolerance)) / cylinders,
        (most + sizing.addedW * input.nitrous.edges.high) / cylinders,
      ] as const,
    },
    retardDeg: retardDeg(sizing.addedW),
    sizing,
    assumptions: input.assumptions,
    checklist: INSTALLATION,
  };
}

function limitsAndRamps(input: PlanInput, decided: Decided) {
  const { nitrous, withinLimits, choice, sizing } = decided;
  const { openRpm, closeRpm } = nitrous;
  return {
    window: { openRpm, closeRpm, hysteresisRpm: input.hysteresisRpm, withinLimits },
    largest: largestOf(input, nitrous),
    torque: torqueRows(input, nitrous),
    axis: choice.ramps.axis,
    valves: choice.valves,
    stages: stagesOf(input, sizing, choice),
    tried: choice.tried,
  };
}

/**
 * Makes a plan. Throws GoalUnreachable when the quarter-mile goal cannot be met and ChainTooNarrow when bores that the file
 * gives cannot pass the flow; both name what to change.
 */
export function makePlan(given: PlanInput, effort?: FitEffort): SystemPlan {
  const without = simulate(given.car);
  const decided = decide(given, addedPowerOf(given, without), effort);
  const { input, nitrous, sizing, kind, range } = decided;
  const { run } = decided.choice.ramps;
  const mixture = mixtureOverPressure(input, sizing);
  const { ramps, valves } = decided.choice;
  const bottle = planBottle(input, run, mixture);
  const facts = {
    ...headline(input, decided),
    ...limitsAndRamps(input, decided),
    ...fuelSystem(input, sizing, kind, nitrous),
    runs: { without: timesOf(without), limit: timesOf(simulate(input.car, nitrous)), planned: timesOf(run) },
    rules: quarterMileRules(input.car.massKg, input.engine.powerW + sizing.addedW),
    overpoweredS: run.overpoweredS,
    rpmAfterShift: speedsAfterShift(input, run),
    trace: traceRows(run),
    mixture,
    mixtureRange: range,
    bottleWindow: input.nitrous.window,
    edges: input.nitrous.edges,
    bottle,
    ranges: { ...rangesOf(input, nitrous, range, ramps, valves), runs: bottle.runsRange },
    days: dayTable(input, sizing),
    accessories: accessoriesOf(input, sizing),
    ladder: ladderOf(input, nitrous, sizing, ramps, valves),
    powers: powersUpTo(input, decided.wantedW),
    goalS: input.goal.quarterS,
  };
  return { ...facts, recommendations: recommend(input, facts), cautions: cautionsFor(input, facts) };
}
