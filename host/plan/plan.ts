/** The whole plan: calls the calculations of every step in order. */

import { engineRpm, speedAtRpm } from "#host/car/car.ts";
import { quarterMileRules } from "#host/car/quarter-mile.ts";
import type { Nitrous, Run } from "#host/car/settled/run.ts";
import { torqueAt } from "#host/car/torque-curve.ts";
import { accessoriesOf } from "./accessories.ts";
import { cautionsFor } from "./cautions/cautions.ts";
import { installation } from "./checklist.ts";
import type { SystemKind } from "./choose-kind.ts";
import { type Decided, decide } from "./decide.ts";
import { addedInjectorS, injectorHeadroom, pumpHeadroom } from "./engine/fuel-system.ts";
import { largestAddedW, tightestPart, torqueLimit, torqueWith } from "./engine/limits.ts";
import { mostFuelKgS, mostOwnW, siteFuelKgS, siteW } from "./engine/own-power.ts";
import { chargeLambda, retardDeg } from "./engine/power.ts";
import type { PlanInput } from "./input/plan-input.ts";
import { planBottle } from "./nitrous/bottle-plan.ts";
import { dayTable } from "./nitrous/day-table.ts";
import { mixtureOverPressure } from "./nitrous/mixture.ts";
import { firstAloneKgS, type Sizing, stageFuel } from "./nitrous/sizing.ts";
import type { FitEffort } from "./ramp/fit.ts";
import { openPart, type StageWindow } from "./ramp/stage-window.ts";
import { recommend } from "./recommend.ts";
import { addedPowerOf, bestReached, GoalUnreachable, type PowerTime } from "./run/goal.ts";
import { ladderOf } from "./run/ladder.ts";
import { engineRun, idealRun, type RampRun, rampRun } from "./run/planned-run.ts";
import { powersUpTo, rangesOf } from "./run/ranges.ts";
import { spoolOf } from "./run/spool.ts";
import { plannedSupply } from "./run/supply.ts";
import type { PlannedStage, RunTimes, SystemPlan, TorqueRow, TraceRow } from "./system-plan.ts";

/** Largest duty at which injectors still meter reliably (common practice, no source). */
const INJECTOR_DUTY = 0.85;
const TRACE_EVERY = 5;

const timesOf = ({ quarterS, eighthS, trapMS }: RunTimes): RunTimes => ({ quarterS, eighthS, trapMS });

/** All stages that are open at an engine speed. */
function torqueRows(input: PlanInput, { addedW }: Nitrous, stages: readonly StageWindow[]): TorqueRow[] {
  const first = 1500;
  const count = Math.floor((input.engine.limiterRpm - first) / 100) + 1;
  return Array.from({ length: count }, (_, i) => {
    const rpm = first + 100 * i;
    const limit = torqueLimit(input.limits, rpm);
    const openW = addedW * openPart(stages, rpm);
    return {
      rpm,
      engineNm: torqueAt(input.car.torque, rpm),
      withNm: torqueWith(input.car.torque, openW, rpm),
      highNm: torqueWith(input.car.torque, openW * input.nitrous.edges.high, rpm),
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

function stagesOf(input: PlanInput, sizing: Sizing, choice: Decided["choice"]): PlannedStage[] {
  return sizing.stages.map((jets, i) => ({
    ...jets,
    addedW: sizing.addedW * jets.part,
    nitrousKgS: sizing.nitrousKgS * jets.part,
    fuelKgS: stageFuel(input, sizing, [jets]),
    openRpm: choice.ramps.stages[i]!.openRpm,
    offMS: choice.ramps.stages[i]!.offMS,
    offPa: choice.ramps.stages[i]!.offPa,
    ramp: choice.ramps.stages[i]!.ramp,
  }));
}

function fuelSystem(input: PlanInput, sizing: Sizing, kind: SystemKind, nitrous: Nitrous) {
  const { fuel, injectorM3S, injectors, pumpM3S } = input.fuel;
  const own = mostFuelKgS(input);
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
  const { engine, fuel } = input;
  const { powerW, cylinders, limiterRpm } = engine;
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
    kinds: {
      ownFuelKgS: siteFuelKgS(input),
      fuelPa: fuel.gaugePa,
      carburettor: engine.carburettor,
      boostPa: engine.boostPa,
      chargeLambda: chargeLambda(sizing.nitrousKgS, sizing.fuelKgS, fuel.fuel),
    },
    sizing,
    assumptions: input.assumptions,
    checklist: installation(kind),
  };
}

function limitsAndRamps(input: PlanInput, decided: Decided) {
  const { nitrous, withinLimits, choice, sizing } = decided;
  const { openRpm, closeRpm } = nitrous;
  return {
    window: { openRpm, closeRpm, hysteresisRpm: input.hysteresisRpm, withinLimits },
    largest: largestOf(input, nitrous),
    torque: torqueRows(input, nitrous, choice.ramps.stages),
    axis: choice.ramps.axis,
    valves: choice.valves,
    stages: stagesOf(input, sizing, choice),
    tried: choice.tried,
    hold: { ...input.hold, reserve: input.car.grip.reserve, holds: choice.holds },
  };
}

/** The run as the plan promises it: what drives it, and the run itself. */
function promised({ input, nitrous, sizing, choice }: Decided, mixture: SystemPlan["mixture"]) {
  const { axis, stages } = choice.ramps;
  const parts = stages.map((stage) => stage.part);
  const supply = plannedSupply(input, { addedW: sizing.addedW, sizing, mixture }, parts);
  const run: RampRun = { nitrous, axis, stages, supply };
  return { run, driven: rampRun(input, run) };
}

/** Rounds of searching for a time: the ramps that hold, and whole jets, may be slower than the search thought. */
const GOAL_ROUNDS = 3;
const CLOSE_S = 0.02;

/** Shares of the quickest power that are planned in full: jets and line may put it just past the place where a window opens in time. */
const BELOW_BEST = [1, 0.96, 0.92, 0.86, 0.8];
const NEAR_BEST_S = 0.05;

/** The best plan for about a power whose time was only searched for. */
function bestPlanned(given: PlanInput, searched: PowerTime, effort: FitEffort | undefined): PowerTime {
  let best: PowerTime | undefined;
  for (const share of BELOW_BEST) {
    const found = decide(given, searched.addedW * share, effort);
    const { quarterS } = promised(found, mixtureOverPressure(found.input, found.sizing)).driven;
    const { wantedW: addedW, withinLimits } = found;
    if (best === undefined || quarterS < best.quarterS) best = { addedW, quarterS, withinLimits };
    if (best.quarterS < searched.quarterS + NEAR_BEST_S) break;
  }
  return best!;
}

/** The power asked for, or searched for; where the goal cannot be met, the best that was planned is named. */
function powerFor(asked: PlanInput, withoutS: number, effort: FitEffort | undefined): number {
  try {
    return addedPowerOf(asked, withoutS);
  } catch (error) {
    if (!(error instanceof GoalUnreachable) || error.best === undefined) throw error;
    const best = bestPlanned(asked, error.best, effort);
    if (best.quarterS <= asked.goal.quarterS!) return best.addedW;
    throw bestReached(best);
  }
}

/** Decides for the power asked for, or for the least that runs in the wanted time with its own ramps. */
function decided(given: PlanInput, withoutS: number, effort: FitEffort | undefined): Decided {
  const { quarterS: wanted } = given.goal;
  let found = decide(given, powerFor(given, withoutS, effort), effort);
  let asked = given;
  for (let round = 1; ; round++) {
    if (wanted === undefined || round === GOAL_ROUNDS) return found;
    const { quarterS } = promised(found, mixtureOverPressure(found.input, found.sizing)).driven;
    if (quarterS <= wanted + CLOSE_S) return found;
    asked = { ...asked, goal: { ...asked.goal, quarterS: asked.goal.quarterS! - (quarterS - wanted) } };
    found = decide(given, powerFor(asked, withoutS, effort), effort);
  }
}

/**
 * Makes a plan. Throws GoalUnreachable when the quarter-mile goal cannot be met and ChainTooNarrow when bores that the file
 * gives cannot pass the flow; both name what to change.
 */
export function makePlan(given: PlanInput, effort?: FitEffort): SystemPlan {
  const without = engineRun(given, { keepsSamples: false });
  const found = decided(given, without.quarterS, effort);
  const { input, nitrous, sizing, kind, range, choice } = found;
  const mixture = mixtureOverPressure(input, sizing);
  const { run, driven } = promised(found, mixture);
  const bottle = planBottle(input, driven, mixture);
  const facts = {
    ...headline(input, found),
    ...limitsAndRamps(input, found),
    ...fuelSystem(input, sizing, kind, nitrous),
    runs: {
      without: timesOf(without),
      limit: timesOf(idealRun(input, run, run.supply)),
      planned: timesOf(driven),
    },
    rules: quarterMileRules(input.car.massKg, input.engine.powerW + sizing.addedW),
    overpoweredS: choice.ramps.run.overpoweredS,
    rpmAfterShift: speedsAfterShift(input, driven),
    trace: traceRows(driven),
    mixture,
    mixtureRange: range,
    bottleWindow: input.nitrous.window,
    edges: input.nitrous.edges,
    bottle,
    firstAloneKgS: firstAloneKgS(input, sizing),
    ranges: { ...rangesOf(input, run, sizing.addedW, range), runs: bottle.runsRange },
    days: dayTable(input, sizing),
    accessories: accessoriesOf(input, sizing),
    spool: spoolOf(input, run, sizing.addedW),
    ladder: ladderOf(input, run, sizing, choice.ramps),
    powers: powersUpTo(input, found.wantedW, {
      axis: choice.ramps.axis,
      parts: choice.ramps.stages.map(({ part }) => part),
      valves: choice.valves,
      addedW: sizing.addedW,
      quarterS: driven.quarterS,
      withinLimits: found.withinLimits,
    }),
    goalS: input.goal.quarterS,
  };
  return { ...facts, recommendations: recommend(input, facts), cautions: cautionsFor(input, facts) };
}
