// What of the findings may go into the car file: all that lowers by itself; what raises a share only with a yes, in small steps.
import { type Finding, findingOf, type Quantity, type Told } from "./findings.ts";
import { type Asked, risePoints } from "./rise.ts";

/** Quantities that a plan is made from; the flow is only reported. */
export type Written = Exclude<Quantity, "flow">;
const WRITTEN: readonly Written[] = ["grip", "engine", "nitrous"];

/** Factors on what the car file says; a quantity that stays as it is, is left out. */
export type Factors = Readonly<Partial<Record<Written, number>>>;

/** What is to be decided on. */
export interface Question {
  readonly findings: readonly Finding[];
  /** What a plan asks for when the car file has these factors in it; undefined when there is no plan. */
  readonly planWith: (factors: Factors) => Asked | undefined;
  /** Somebody said yes to a higher share. */
  readonly raise: boolean;
  /** Runs that a share was raised for before, by their keys. */
  readonly usedKeys: readonly string[];
}

/** What may be written. `risePoints`: by how much its plan asks for more than the file's, at most; undefined when nothing changes. */
export interface Step {
  readonly factors: Factors;
  readonly risePoints: number | undefined;
  readonly raised: boolean;
  /** Why something is not written, or only part of the way; sentences. */
  readonly remarks: readonly string[];
  /** STOPs of the plan with these factors. */
  readonly stops: readonly string[];
}

/** The most by which one step may raise a share, in points of percent. */
export const MOST_RISE = 5;
/** Ramps are drawn from few points: less than this is no rise. */
export const NO_RISE = 0.5;
/** A change that is not worth writing. */
const LEAST_CHANGE = 0.003;
const HALVINGS = 5;

const NAMES: Readonly<Record<Written, string>> = {
  grip: "the grip",
  engine: "the engine's power",
  nitrous: "the nitrous power",
};

/** Does it make room for more flow? More grip does, and less power. */
const raises = (quantity: Written, factor: number): boolean =>
  quantity === "grip" ? factor > 1 : factor < 1;

const worth = (factor: number): boolean => Math.abs(factor - 1) >= LEAST_CHANGE;

/** Two runs agree on it that no share was raised for before. */
const isConfirmed = ({ agree, runs }: Told, used: readonly string[]): boolean =>
  agree && runs.filter(({ key }) => !used.includes(key)).length >= 2;

function toldFactors(findings: readonly Finding[]): [Written, Told][] {
  return WRITTEN.flatMap((quantity): [Written, Told][] => {
    const told = findingOf(findings, quantity);
    return told && worth(told.factor) ? [[quantity, told]] : [];
  });
}

const factorsOf = (told: readonly (readonly [Written, Told])[]): Factors =>
  Object.fromEntries(told.map(([quantity, { factor }]) => [quantity, factor]));

/** Part of the way to the factors that raise. */
const partWay = (factors: Factors, part: number): Factors =>
  Object.fromEntries(
    Object.entries(factors).map(([quantity, factor]) => [quantity, 1 + part * (factor - 1)]),
  );

const isEmpty = (factors: Factors): boolean => Object.keys(factors).length === 0;

const nothing = (remarks: readonly string[]): Step => ({
  factors: {},
  risePoints: undefined,
  raised: false,
  remarks,
  stops: [],
});

/** A plan beside the one of the present file. */
interface Tried {
  readonly factors: Factors;
  readonly risePoints: number;
  readonly stops: readonly string[];
}

class Decision {
  private readonly question: Question;
  private readonly before: Asked | undefined;

  constructor(question: Question) {
    this.question = question;
    this.before = question.planWith({});
  }

  try(factors: Factors): Tried | undefined {
    const after = this.before && this.question.planWith(factors);
    return after && { factors, risePoints: risePoints(this.before!, after), stops: after.stops };
  }

  get beforeStops(): readonly string[] {
    return this.before?.stops ?? [];
  }

  /** The furthest way to `raising` on which no share rises by more than a step, and that ends before any STOP. */
  furthest(lowering: Factors, raising: Factors): Tried | undefined {
    const at = (part: number): Tried | undefined => {
      const tried = this.try({ ...lowering, ...partWay(raising, part) });
      return tried && tried.risePoints <= MOST_RISE && tried.stops.length === 0 ? tried : undefined;
    };
    const whole = at(1);
    if (whole) return whole;
    let [low, high] = [0, 1];
    let best: Tried | undefined;
    for (let i = 0; i < HALVINGS; i++) {
      const middle = (low + high) / 2;
      const tried = at(middle);
      if (tried) [low, best] = [middle, tried];
      else high = middle;
    }
    return best;
  }
}

const written = ({ factors, risePoints: rise, stops }: Tried, remarks: readonly string[]): Step => ({
  factors,
  risePoints: rise,
  raised: rise > NO_RISE,
  remarks,
  stops,
});

const list = (quantities: readonly Written[]): string => quantities.map((q) => NAMES[q]).join(" and ");

const points = (rise: number): string =>
  Number.isFinite(rise) ? `up to ${rise.toFixed(1)} points more flow` : "flow where nothing flowed before";

/** Why what raises is left out. */
function notRaised(all: Tried, raising: readonly [Written, Told][], { raise, usedKeys }: Question): string {
  const names = list(raising.map(([quantity]) => quantity));
  const more = `${names} would raise a share (${points(all.risePoints)})`;
  if (!raise) return `${more}: not written without --raise`;
  const used = raising.some(
    ([, { agree, runs }]) => agree && !isConfirmed({ agree, runs } as Told, usedKeys),
  );
  return used
    ? `${more}: these runs have raised a share before; make two new runs with the present ramps`
    : `${more}: not written, because no two runs agree on it yet; make another run`;
}

/** What lowers, alone. */
function onlyLowering(decision: Decision, lowering: Factors, remarks: readonly string[]): Step {
  if (isEmpty(lowering)) return nothing(remarks);
  const tried = decision.try(lowering);
  if (tried === undefined) return nothing([...remarks, "the car has no plan with these values"]);
  if (tried.risePoints <= NO_RISE) return written(tried, remarks);
  const why = `the plan with them would ask for ${points(tried.risePoints)} somewhere`;
  return nothing([...remarks, `the values that lower are not written either: ${why}`]);
}

function stepUp(
  decision: Decision,
  lowering: Factors,
  raising: readonly [Written, Told][],
  remarks: readonly string[],
): Step {
  const names = list(raising.map(([quantity]) => quantity));
  if (decision.beforeStops.length > 0) {
    const stop = `the plan has a STOP (${decision.beforeStops.join(", ")}): nothing is raised past it`;
    return onlyLowering(decision, lowering, [...remarks, stop]);
  }
  const wanted = factorsOf(raising);
  const tried = decision.furthest(lowering, wanted);
  if (tried === undefined) {
    const no = `no step with ${names} stays within ${MOST_RISE} points and before a STOP`;
    return onlyLowering(decision, lowering, [...remarks, `${no}: nothing is raised`]);
  }
  const short = raising.some(([quantity, { factor }]) => tried.factors[quantity] !== factor);
  const part = `${names} ${raising.length > 1 ? "go" : "goes"} only part of the way, so that no share rises by more than ${MOST_RISE} points and no STOP comes; make two new runs before the next step`;
  return written(tried, short ? [...remarks, part] : remarks);
}

/** Decides. Never raises a share by more than `MOST_RISE`, nor past a STOP, nor without a yes and two runs that agree. */
export function stepOf(question: Question): Step {
  const told = toldFactors(question.findings);
  if (told.length === 0) return nothing([]);
  const decision = new Decision(question);
  const all = decision.try(factorsOf(told));
  if (all === undefined) return nothing(["the car has no plan with these values: nothing is written"]);
  if (all.risePoints <= NO_RISE) return written(all, []);
  const raising = told.filter(([quantity, { factor }]) => raises(quantity, factor));
  const lowering = factorsOf(told.filter((one) => !raising.includes(one)));
  const confirmed = raising.filter(([, one]) => isConfirmed(one, question.usedKeys));
  const left = raising.filter((one) => !question.raise || !confirmed.includes(one));
  const remarks = left.length > 0 ? [notRaised(all, left, question)] : [];
  if (!question.raise || confirmed.length === 0) return onlyLowering(decision, lowering, remarks);
  return stepUp(decision, lowering, confirmed, remarks);
}
