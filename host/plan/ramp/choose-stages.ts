/** Chooses the axis of the ramps with the tyres' reserve, then the number of stages and their division of the power: by driven runs that hold at the edges, and by time. */

import type { Nitrous } from "#host/car/settled/run.ts";
import type { PlanInput } from "../input/plan-input.ts";
import type { RunEdges } from "../run/driven-run.ts";
import { idealRun, type RampRun, rampRun } from "../run/planned-run.ts";
import { steadySupply } from "../run/supply.ts";
import type { FitEffort } from "./fit.ts";
import { engineSpin, holdsAtCorners } from "./holds.ts";
import type { RampAxis } from "./share-limits.ts";
import { dividedOf, idealParts, partFromBelow } from "./stage-window.ts";
import { fitRamps, Reference, type StageRamp } from "./stages.ts";
import { type ValveRange, valveRange } from "./valve.ts";

/** Divisions that are tried for each number of stages, small stage first. */
const DIVISIONS: Readonly<Record<number, readonly (readonly number[])[]>> = {
  1: [[1]],
  2: [
    [0.5, 0.5],
    [0.4, 0.6],
    [0.3, 0.7],
  ],
  3: [
    [0.25, 0.35, 0.4],
    [1 / 3, 1 / 3, 1 / 3],
  ],
  4: [[0.25, 0.25, 0.25, 0.25]],
};

/** Enough to compare candidates by; the one that is chosen is fitted again with all effort. */
export const COARSE_EFFORT: FitEffort = { axisValues: 24, values: 7, points: 10, least: 0 };

/** What is added to the grip that may be lost, until the ramps hold. */
const MORE_RESERVE = [0, 0.025, 0.05, 0.075, 0.1, 0.15, 0.2];

/** A further stage must save this much, s, to be worth its valves. */
const WORTH_A_STAGE_S = 0.02;
/** Above this smallest pulsed step, W, each opening is a shock to the engine (about 50 hp; judgement, no source). */
const ROUGH_STEP_W = 37_000;

/** One candidate: its time when all goes as planned, s, and whether it holds at the edges. */
export interface Tried {
  readonly axis: RampAxis;
  readonly parts: readonly number[];
  readonly reserve: number;
  readonly quarterS: number;
  readonly holds: boolean;
}

/** A choice with all candidates; `input` has the reserve that was chosen. */
export interface StageChoice {
  readonly input: PlanInput;
  readonly axis: RampAxis;
  readonly parts: readonly number[];
  readonly valves: ValveRange;
  readonly holds: boolean;
  readonly tried: readonly Tried[];
  /** Spin of the engine alone at an edge, s: the same for every reserve and every division. */
  readonly alone: (edges: RunEdges) => number;
}

/** Range of shares of the valves at their slowest opening. */
const valvesOf = (input: PlanInput): ValveRange =>
  valveRange({
    openingS: input.nitrous.opening10VS,
    closingS: input.nitrous.closingS,
    frequencyHz: input.nitrous.frequencyHz,
  });

/** Axes that the sensors allow. */
export function possibleAxes(input: PlanInput): RampAxis[] {
  if (input.goal.axis !== undefined) return [input.goal.axis];
  const axes: RampAxis[] = [];
  if (input.control.pulsesPerM !== undefined) axes.push("road-speed");
  if (input.control.launchSwitch) axes.push("launch");
  return [...axes, "engine-speed"];
}

/** The input with another reserve of the tyres. */
export const withReserve = (input: PlanInput, reserve: number): PlanInput => ({
  ...input,
  car: { ...input.car, grip: { ...input.car.grip, reserve } },
});

/** Reserves that are tried, rising: the one of the car file, or from the grip that may be lost on. */
export const reservesOf = ({ hold }: PlanInput): number[] =>
  hold.reserve === undefined ? MORE_RESERVE.map((more) => hold.gripLoss + more) : [hold.reserve];

interface Candidate extends Tried {
  readonly input: PlanInput;
  readonly stages: readonly StageRamp[];
}

/** Fits and drives candidates for one added power, W. */
class Candidates {
  readonly tried: Tried[] = [];
  readonly valves: ValveRange;
  private readonly given: PlanInput;
  private readonly addedW: number;
  private readonly effort: FitEffort;
  readonly alone: (edges: RunEdges) => number;
  private readonly ideals = new Map<number, number>();
  private readonly references = new Map<string, Reference>();

  constructor(given: PlanInput, addedW: number, effort: FitEffort) {
    this.given = given;
    this.addedW = addedW;
    this.effort = effort;
    this.valves = valvesOf(given);
    this.alone = engineSpin(given);
  }

  private referenceOf({ car }: PlanInput, nitrous: Nitrous): Reference {
    const key = `${car.grip.reserve} ${nitrous.openRpm}`;
    const known = this.references.get(key) ?? new Reference(car, nitrous);
    this.references.set(key, known);
    return known;
  }

  /** One candidate, held against the corners unless it is slower than another that holds. */
  attempt(reserve: number, axis: RampAxis, parts: readonly number[], best?: Candidate): Candidate {
    const { valves, effort } = this;
    const input = withReserve(this.given, reserve);
    const { nitrous, stages: windows } = dividedOf(input, this.addedW, parts);
    const stages = fitRamps(this.referenceOf(input, nitrous), axis, windows, valves, effort);
    const supply = steadySupply(input, nitrous.addedW, parts);
    const run: RampRun = { nitrous, supply, axis, stages };
    const { quarterS } = rampRun(input, run, { keepsSamples: false });
    const holds = !isBehind(quarterS, best) && holdsAtCorners(input, run, this.alone);
    const tried = { axis, parts, reserve, quarterS, holds };
    this.tried.push(tried);
    return { ...tried, input, stages };
  }

  /** The least reserve with which an axis holds, by halving; the largest when none does; the first when even that is behind. */
  overAxis(axis: RampAxis, best: Candidate | undefined): Candidate {
    const reserves = reservesOf(this.given);
    const first = this.attempt(reserves[0]!, axis, [1], best);
    if (first.holds || reserves.length === 1 || isBehind(first.quarterS, best)) return first;
    let [low, high] = [0, reserves.length - 1];
    let found = this.attempt(reserves[high]!, axis, [1]);
    while (found.holds && high - low > 1) {
      const middle = (low + high) >> 1;
      const tried = this.attempt(reserves[middle]!, axis, [1]);
      if (tried.holds) [found, high] = [tried, middle];
      else low = middle;
    }
    return found;
  }

  /** How far a candidate is behind ramps that take all that is allowed, s: more stages cannot save more. */
  behindIdeal({ input, quarterS }: Candidate): number {
    return quarterS - this.idealS(input);
  }

  private idealS(input: PlanInput): number {
    const { addedW } = this;
    const key = input.car.grip.reserve;
    const known = this.ideals.get(key);
    if (known !== undefined) return known;
    const times = idealParts(input, addedW, false).map(
      (parts) =>
        idealRun(input, dividedOf(input, addedW, parts), steadySupply(input, addedW, parts)).quarterS,
    );
    const best = Math.min(...times);
    this.ideals.set(key, best);
    return best;
  }

  /** The best division into so many stages; none is tried after one that no other can beat by what a stage is worth. */
  divided(count: number, { reserve, axis }: Candidate): Candidate {
    let best: Candidate | undefined;
    for (const parts of this.divisions(count)) {
      const tried = this.attempt(reserve, axis, parts, best);
      best = best === undefined ? tried : better(best, tried);
      if (best.holds && this.behindIdeal(best) <= WORTH_A_STAGE_S) break;
    }
    return best!;
  }

  /** Divisions into so many stages that are worth a try; two also where the first may open from the lowest speed on. */
  private divisions(count: number): (readonly number[])[] {
    const early = count === 2 ? partFromBelow(this.given, this.addedW) : undefined;
    return [...(early === undefined ? [] : [[early, 1 - early]]), ...(DIVISIONS[count] ?? [])];
  }
}

/** A ramp over the speed of an undriven wheel sees a bad start: another axis must save this much, s (judgement, no source). */
const SEEING_IS_WORTH_S = 0.05;

/** How much quicker, s, a ramp over another axis must be than one over this. */
export const worthOver = ({ axis, input }: { axis: RampAxis; input: PlanInput }): number =>
  axis === "road-speed" && input.control.roadSender === "undriven-wheel" ? SEEING_IS_WORTH_S : 1e-4;

/** Is a time no better than that of a candidate that holds? */
const isBehind = (quarterS: number, best: Candidate | undefined): boolean =>
  best?.holds === true && quarterS >= best.quarterS - worthOver(best);

/** A ramp that holds may cost this much, s, against one that does not; at a higher price it hardly flows at all. */
export const HOLDING_IS_WORTH_S = 0.1;

/** Of two candidates the one that holds, unless that costs too much; then the quicker, the second only if by more than `worthS`. */
function better(a: Candidate, b: Candidate, worthS = 1e-4): Candidate {
  if (a.holds !== b.holds) {
    const [sure, other] = a.holds ? [a, b] : [b, a];
    return sure.quarterS <= other.quarterS + HOLDING_IS_WORTH_S ? sure : other;
  }
  return b.quarterS < a.quarterS - worthS ? b : a;
}

/** Chooses axis, reserve and stages. `dry` keeps to one stage unless the file asks for more. */
export function chooseStages(
  given: PlanInput,
  addedW: number,
  dry: boolean,
  effort: FitEffort = COARSE_EFFORT,
): StageChoice {
  const candidates = new Candidates(given, addedW, effort);
  let first: Candidate | undefined;
  for (const axis of possibleAxes(given)) {
    const found = candidates.overAxis(axis, first);
    first = first === undefined ? found : better(first, found, worthOver(first));
  }
  const one = first!;
  const best = (count: number) => candidates.divided(count, one);
  const { stages, parts } = given.goal;
  const { tried, valves, alone } = candidates;
  const rough = valves.least * addedW > ROUGH_STEP_W;
  let chosen = stages === undefined || stages === 1 ? one : best(stages);
  if (parts !== undefined) chosen = candidates.attempt(one.reserve, one.axis, parts);
  else if (stages === undefined && !dry && (rough || candidates.behindIdeal(one) > WORTH_A_STAGE_S)) {
    const two = best(2);
    const isWorth = rough || two.quarterS < one.quarterS - WORTH_A_STAGE_S;
    if (isWorth && (two.holds || !one.holds)) chosen = two;
  }
  const { input, axis, holds } = chosen;
  return { input, axis, parts: chosen.parts, valves, holds, tried, alone };
}
