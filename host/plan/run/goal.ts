/** From the goal to an added power, and the engine speed window that the parts allow for it, at the upper edge of the flow. */

import { type Nitrous, type Run, simulate } from "#host/car/settled/run.ts";
import { torqueAt } from "#host/car/torque-curve.ts";
import { LOWEST_OPEN_RPM, lowestOpenRpm, torqueLimit } from "../engine/limits.ts";
import type { PlanInput } from "../input/plan-input.ts";

/** Smallest window, rpm, kept for a goal above the limits, so that the rest of the plan can still be shown. */
const NARROW_RPM = 500;
const LARGEST_ADDED_W = 2e6;

/** Nitrous of an added power, W, and whether full flow at its upper edge stays under every part's limit in its window. */
export function nitrousOf(input: PlanInput, addedW: number): { nitrous: Nitrous; withinLimits: boolean } {
  const { car, limits, closeRpm, hysteresisRpm } = input;
  const { high } = input.nitrous.edges;
  const open = lowestOpenRpm(car.torque, addedW * high, limits, closeRpm, hysteresisRpm);
  const narrow = Math.max(LOWEST_OPEN_RPM + hysteresisRpm, closeRpm - NARROW_RPM);
  const nitrous = {
    addedW,
    openRpm: open ?? narrow,
    closeRpm,
    torqueLimit: (rpm: number) => {
      const alone = torqueAt(car.torque, rpm);
      return alone + (torqueLimit(limits, rpm) - alone) / high;
    },
  };
  return { nitrous, withinLimits: open !== undefined };
}

/** The goal cannot be met; `reason` is a sentence, `bestS` the quickest time found. */
export class GoalUnreachable extends Error {
  override readonly name = "GoalUnreachable";
}

const seconds = (time: number) => `${time.toFixed(2)} s`;

/**
 * Added power, W: the one given, or the least that runs the quarter mile in the wanted time with the best possible ramp.
 * Throws GoalUnreachable when the car is that quick already, or tyres and parts do not allow it.
 */
export function addedPowerOf(input: PlanInput, without: Run): number {
  const { addedW, quarterS } = input.goal;
  if (addedW !== undefined) return addedW;
  const wanted = quarterS ?? Number.NaN;
  if (without.quarterS <= wanted)
    throw new GoalUnreachable(`the car already runs ${seconds(without.quarterS)} without nitrous`);
  const time = (power: number) => simulate(input.car, nitrousOf(input, power).nitrous).quarterS;
  let high = 2e4;
  let best = Number.POSITIVE_INFINITY;
  for (; high < LARGEST_ADDED_W; high *= 1.5) {
    best = Math.min(best, time(high));
    if (best <= wanted || !nitrousOf(input, high).withinLimits) break;
  }
  if (best > wanted)
    throw new GoalUnreachable(`tyres and parts allow ${seconds(best)} at best, whatever the added power`);
  let low = high / 1.5;
  for (let i = 0; i < 9; i++) {
    const middle = (low + high) / 2;
    if (time(middle) > wanted) low = middle;
    else high = middle;
  }
  return high;
}
