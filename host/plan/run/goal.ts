/** From the goal to an added power, and the engine speed window that the parts allow for it, at the upper edge of the flow. */

import { toUnit } from "#host/units/format.ts";
import { chooseKind } from "../choose-kind.ts";
import type { PlanInput } from "../input/plan-input.ts";
import { dividedOf, idealParts } from "../ramp/stage-window.ts";
import { idealRun } from "./planned-run.ts";
import { steadySupply } from "./supply.ts";

const LEAST_ADDED_W = 4e3;
/** More than so many times the engine's own power is not searched: it stops the plan at once that. */
const MOST_OF_OWN = 2;
/** From one tried power to the next. */
const STEP = 1.2;
const GOLDEN = (Math.sqrt(5) - 1) / 2;
/** Once a power is slower than the best by this much, s, no higher one is tried. */
const CLEARLY_SLOWER_S = 1;

/** The goal cannot be met; the message is a sentence that names the best time and its power, `best` has them. */
export class GoalUnreachable extends Error {
  override readonly name = "GoalUnreachable";
  readonly best: PowerTime | undefined;

  constructor(message: string, best?: PowerTime) {
    super(message);
    this.best = best;
  }
}

/** The best that a car can reach, as a sentence. */
export const bestReached = (best: PowerTime): GoalUnreachable =>
  new GoalUnreachable(
    `tyres and parts allow ${seconds(best.quarterS)} at best, with ${toUnit(best.addedW, "hp").toFixed(0)} hp of nitrous; more of it is no quicker`,
    best,
  );

const seconds = (time: number) => `${time.toFixed(2)} s`;

/** Time, s, of the best possible ramp for an added power, W. */
export interface PowerTime {
  readonly addedW: number;
  readonly quarterS: number;
  readonly withinLimits: boolean;
}

const quicker = (a: PowerTime, b: PowerTime): PowerTime => (b.quarterS < a.quarterS ? b : a);

/** The quarter mile with the best possible ramps for one added power, driven by the controller; in one stage, or in those that parts allow earlier. */
export function timeOf(input: PlanInput, addedW: number): PowerTime {
  const times = idealParts(input, addedW, chooseKind(input, addedW) === "dry").map((parts): PowerTime => {
    const divided = dividedOf(input, addedW, parts);
    const { quarterS } = idealRun(input, divided, steadySupply(input, addedW, parts));
    return { addedW, quarterS, withinLimits: divided.withinLimits };
  });
  return times.reduce(quicker);
}

/** Between two powers, W, of which the higher meets the time: the least that does, to a few watts in a hundred. */
function leastBetween(input: PlanInput, wanted: number, from: number, to: PowerTime): number {
  let [low, high] = [from, to.addedW];
  for (let i = 0; i < 9; i++) {
    const middle = (low + high) / 2;
    if (timeOf(input, middle).quarterS > wanted) low = middle;
    else high = middle;
  }
  return high;
}

/** The quickest power around the best one that was tried, by golden section. */
function refined(input: PlanInput, best: PowerTime): PowerTime {
  let [low, high] = [best.addedW / STEP, best.addedW * STEP];
  let found = best;
  for (let i = 0; i < 10; i++) {
    const [a, b] = [high - GOLDEN * (high - low), low + GOLDEN * (high - low)].map((w) =>
      timeOf(input, w),
    ) as [PowerTime, PowerTime];
    for (const tried of [a, b]) if (tried.withinLimits) found = quicker(found, tried);
    if (b.withinLimits && b.quarterS < a.quarterS) low = a.addedW;
    else high = b.addedW;
  }
  return found;
}

/**
 * Added power, W: the one given, or the least that runs the quarter mile in the wanted time with the best possible ramp.
 * More power may be slower, since parts then open the window later: so every step up to their limit is tried.
 * Throws GoalUnreachable when the car is that quick already, or tyres and parts do not allow it; it names the best.
 */
export function addedPowerOf(input: PlanInput, withoutS: number): number {
  const { addedW, quarterS } = input.goal;
  if (addedW !== undefined) return addedW;
  const wanted = quarterS ?? Number.NaN;
  if (withoutS <= wanted)
    throw new GoalUnreachable(`the car already runs ${seconds(withoutS)} without nitrous`);
  let best: PowerTime | undefined;
  for (let power = LEAST_ADDED_W; power < MOST_OF_OWN * input.engine.powerW; power *= STEP) {
    const tried = timeOf(input, power);
    if (!tried.withinLimits) break;
    if (tried.quarterS <= wanted) return leastBetween(input, wanted, power / STEP, tried);
    best = best === undefined ? tried : quicker(best, tried);
    if (tried.quarterS > best.quarterS + CLEARLY_SLOWER_S) break;
  }
  const most = best && refined(input, best);
  if (most && most.quarterS <= wanted) return most.addedW;
  throw most === undefined
    ? new GoalUnreachable("the parts leave no room for any nitrous")
    : bestReached(most);
}
