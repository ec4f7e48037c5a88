/** Windows of stages: where each stage may flow. Stages open in turn, each where the parts bear it with all before it, and close together. */
import { speedAtRpm } from "#host/car/car.ts";
import type { Moment, Nitrous } from "#host/car/settled/run.ts";
import { torqueAt } from "#host/car/torque-curve.ts";
import { LOWEST_OPEN_RPM, lowestOpenRpm, tightestPart, torqueLimit } from "../engine/limits.ts";
import type { PlanInput } from "../input/plan-input.ts";

/** One stage: its part of all nitrous (parts add up to 1), the engine speed from which on it may flow, rpm, and where it goes off. */
export interface StageWindow {
  readonly part: number;
  readonly openRpm: number;
  /** Road speed, m/s, above which it is shut: a stage for the start. */
  readonly offMS?: number | undefined;
  /** Manifold pressure, absolute Pa, above which it is shut: a stage that brings a turbocharger up. The ramps are fitted as if it flowed on. */
  readonly offPa?: number | undefined;
}

/** Nitrous of an added power, divided over stages with windows of their own; whether all of it stays under every part's limit. */
export interface Divided {
  readonly nitrous: Nitrous;
  readonly stages: readonly StageWindow[];
  readonly withinLimits: boolean;
}

/** Smallest window, rpm, kept for a goal above the limits, so that the rest of the plan can still be shown. */
const NARROW_RPM = 500;

/** Where a stage goes off by its purpose: one for the start with first gear, one for the boost when there is boost. */
function offOf({ goal, car }: PlanInput, count: number, stage: number): Pick<StageWindow, "offMS" | "offPa"> {
  const purpose = goal.purposes?.length === count ? goal.purposes[stage] : undefined;
  if (purpose === "start") return { offMS: speedAtRpm(car, 0, car.shiftRpm) };
  return purpose === "boost" ? { offPa: goal.boostOffPa } : {};
}

/** An added power, W, in parts: each stage opens where it and all before it, at the upper edge of the flow, stay under every limit. */
export function dividedOf(input: PlanInput, addedW: number, parts: readonly number[] = [1]): Divided {
  const { car, limits, closeRpm, hysteresisRpm } = input;
  const { high } = input.nitrous.edges;
  const narrow = Math.max(LOWEST_OPEN_RPM + hysteresisRpm, closeRpm - NARROW_RPM);
  let together = 0;
  let withinLimits = true;
  const stages = parts.map((part, i): StageWindow => {
    together += part;
    const open = lowestOpenRpm(car.torque, together * addedW * high, limits, closeRpm, hysteresisRpm);
    withinLimits = open !== undefined;
    return { part, openRpm: open ?? narrow, ...offOf(input, parts.length, i) };
  });
  const nitrous = {
    addedW,
    openRpm: stages[0]!.openRpm,
    closeRpm,
    tyreFlow: high,
    torqueLimit: (rpm: number) => {
      const alone = torqueAt(car.torque, rpm);
      return alone + (torqueLimit(limits, rpm) - alone) / high;
    },
  };
  return { nitrous, stages, withinLimits };
}

/** Part of all nitrous that may flow at an engine speed, rpm. */
export const openPart = (stages: readonly StageWindow[], rpm: number): number =>
  stages.reduce((sum, { part, openRpm }) => sum + (rpm >= openRpm ? part : 0), 0);

/** May a stage flow at a moment? Boost is not looked at. */
export const isInside = (
  { openRpm, offMS = Number.POSITIVE_INFINITY }: StageWindow,
  { rpm, speedMS }: Pick<Moment, "rpm" | "speedMS">,
): boolean => rpm >= openRpm && speedMS <= offMS;

/** Jets are rounded up by at most so much (nitrous/jets.ts), and a stage must open where it was meant to all the same. */
const ROUNDING = 0.03;
/** A stage smaller than this part of the nitrous, or than this power, W (10 hp), is not worth its valves (judgement, no source). */
const LEAST_PART = 0.15;
const LEAST_STAGE_W = 7457;

/**
 * Part of an added power, W, that the parts bear from the lowest opening speed on: the rest may open later, in a stage of its own.
 * Undefined where they bear all of it, or hardly any.
 */
export function partFromBelow(
  { car, limits, nitrous, ...input }: PlanInput,
  addedW: number,
): number | undefined {
  const least = tightestPart(car.torque, limits, LOWEST_OPEN_RPM, input.closeRpm - input.hysteresisRpm);
  const part = ((1 - ROUNDING) * least.addedW) / nitrous.edges.high / addedW;
  const smallest = Math.max(LEAST_PART, LEAST_STAGE_W / addedW);
  if (part < smallest || part >= 1 - ROUNDING || smallest > 0.5) return undefined;
  return Math.min(part, 1 - smallest);
}

/** Divisions between which the best possible time lies: by the number of stages alone it does not change, by their windows it does. */
export function idealParts(input: PlanInput, addedW: number, dry: boolean): (readonly number[])[] {
  const { parts, stages } = input.goal;
  if (parts !== undefined) return [parts];
  const first = stages === 1 || (dry && stages === undefined) ? undefined : partFromBelow(input, addedW);
  return first === undefined ? [[1]] : [[1], [first, 1 - first]];
}
