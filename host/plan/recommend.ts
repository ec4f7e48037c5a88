/** Recommends the system and its accessories; each choice has its reason and the circumstances that would change it. Judgement is marked. */
import { toUnit } from "#host/units/format.ts";
import { fuelSwitchText } from "./accessories.ts";
import type { SystemKind } from "./choose-kind.ts";
import type { PlanInput } from "./input/plan-input.ts";
import { type Tried, worthOver } from "./ramp/choose-stages.ts";
import type { RampAxis } from "./ramp/share-limits.ts";
import type { PlanFacts, Recommendation } from "./system-plan.ts";
import { kindReason, layoutReason } from "./system-reasons.ts";
import { hp, PRACTICE, warmUpText } from "./words.ts";

const AXIS_WORDS = {
  "road-speed": "road speed",
  launch: "time since launch",
  "engine-speed": "engine speed",
} as const;

const percent = (share: number) => `${(100 * share).toFixed(1).replace(/\.0$/u, "")} %`;

/** The best of the candidates, those that hold first. */
function bestOf(tried: readonly Tried[]): Tried | undefined {
  const holding = tried.filter((t) => t.holds);
  const from = holding.length > 0 ? holding : tried;
  return from.reduce<Tried | undefined>((a, b) => (a && a.quarterS <= b.quarterS ? a : b), undefined);
}

function stagesReason({ goal }: PlanInput, facts: PlanFacts): string {
  const best = (count: number) =>
    bestOf(facts.tried.filter((t) => t.parts.length === count && t.axis === facts.axis));
  const [one, two] = [best(1), best(2)];
  const later = facts.stages.some(({ openRpm }) => openRpm > facts.window.openRpm)
    ? "; each opens where the parts bear it with those before it"
    : "";
  if (goal.purposes !== undefined || goal.parts !== undefined || goal.stages !== undefined)
    return `as the car file asks${later}`;
  if (one && two)
    return `one stage runs ${one.quarterS.toFixed(3)} s, two run ${two.quarterS.toFixed(3)} s${later}`;
  return one && facts.stages.length === 1
    ? "one stage runs within 0.02 s of the best possible ramp, so a second cannot save more"
    : "others run no quicker";
}

function stageReasons(input: PlanInput, facts: PlanFacts): Recommendation[] {
  const step = hp(facts.valves.least * facts.stages[0]!.addedW);
  return [
    {
      topic: "stages",
      choice: String(facts.stages.length),
      reason: `${stagesReason(input, facts)}; the smallest pulsed step is ${step}`,
      changes:
        "a second stage that saves 0.02 s, a smallest step above 50 hp (slower solenoids, a larger goal), or goal.stages",
    },
    {
      topic: "ramp over",
      choice: AXIS_WORDS[facts.axis],
      reason: axisReason(input, facts),
      changes: `${closest(input, facts)}; a road speed sensor, a launch switch, or goal.ramp`,
    },
  ];
}

/** What was found for one axis. */
function axisWords(facts: PlanFacts, axis: RampAxis): string[] {
  const found = bestOf(facts.tried.filter((t) => t.parts.length === 1 && t.axis === axis));
  if (found === undefined) return [];
  const kept = `reserve ${percent(found.reserve)}`;
  const how = found.holds ? kept : `${kept}, does not hold or is behind already`;
  return [`${AXIS_WORDS[axis]} ${found.quarterS.toFixed(2)} s (${how})`];
}

/** Does a ramp over this axis see a bad start, so that another one has to save something? */
const seesStart = (axis: RampAxis, input: PlanInput): boolean => worthOver({ axis, input }) > 0.01;

/** How near another axis came: what it is that a small change may turn. */
function closest(input: PlanInput, { tried, axis }: PlanFacts): string {
  const one = tried.filter((t) => t.parts.length === 1);
  const [chosen, other] = [
    bestOf(one.filter((t) => t.axis === axis)),
    bestOf(one.filter((t) => t.axis !== axis)),
  ];
  if (chosen === undefined || other === undefined) return "nothing else was possible";
  const gap = Math.abs(other.quarterS - chosen.quarterS).toFixed(2);
  const quicker = seesStart(axis, input)
    ? `is quicker by ${worthOver({ axis, input }).toFixed(2)} s`
    : "is the quicker";
  return other.holds
    ? `${AXIS_WORDS[other.axis]}, ${gap} s away, once it ${quicker}`
    : `${AXIS_WORDS[other.axis]}, ${gap} s away, once it holds and ${quicker} (holding may cost 0.10 s)`;
}

function axisReason(input: PlanInput, facts: PlanFacts): string {
  const { gripLoss, lateS, holds } = facts.hold;
  const { axis } = facts;
  const best = seesStart(axis, input)
    ? `it sees a bad start and is within ${worthOver({ axis, input }).toFixed(2)} s of the quickest that holds`
    : "the quickest that holds";
  const each = (["road-speed", "launch", "engine-speed"] as const).flatMap((axis) => axisWords(facts, axis));
  const held = `grip -${percent(gripLoss)}, a start ${lateS.toFixed(2)} s late and the upper edge of the flow`;
  const why = holds ? `${best} at ${held}` : `none holds at ${held}`;
  return `${why}, in the plan's own runs: ${each.join(", ")}`;
}

const fuelGuard = ({ accessories, kinds }: PlanFacts): Recommendation => ({
  topic: "fuel-pressure switch",
  choice: `yes, opening below ${fuelSwitchText(accessories.fuelSwitchPa, kinds.boostPa)}, in series with the arm switch`,
  reason: `nitrous must stop before fuel fails, and the settings prove no fuel pressure: this switch alone does; 90 % of the working pressure (${PRACTICE})`,
  changes: "a fuel pressure sensor on the controller, under fuel in the settings",
});

const SAFETY: Readonly<Record<SystemKind, (facts: PlanFacts) => Recommendation>> = {
  wet: fuelGuard,
  dry: () => ({
    topic: "enrichment signal",
    choice: "yes, from the engine computer",
    reason: "a dry stage may not flow without confirmed fuel",
    changes: "nothing: the controller requires it",
  }),
};

/** The same for every system. */
const FITTED: readonly Recommendation[] = [
  {
    topic: "blow-down tube",
    choice: "yes, for a bottle inside the car",
    reason: "a burst disc must vent outside the cabin",
    changes: "a bottle outside the cabin; local rules decide",
  },
];

/** Time between two rows of the trace, s, and a share that counts as full. */
const ROW_S = 0.05;
const FULL = 0.98;

/** What the run asks of whatever switches the nitrous: how long it must be held back while its window is open. */
function activation({ trace }: PlanFacts): Recommendation {
  const heldS = trace.filter((row) => row.open && row.shareLimit < FULL).length * ROW_S;
  const held =
    heldS > 0
      ? `for ${heldS.toFixed(1)} s of this run tyres or parts bear less than all of it, which only a ramp can give`
      : "full flow is borne wherever the window is open; two switches would do for that, but hold neither engine speed nor bottle pressure";
  return {
    topic: "activation",
    choice: "this controller: arm switch, full-throttle switch, engine speed window, ramp",
    reason: `nothing flows unless all agree; ${held}`,
    changes: "a throttle sensor in addition to the switch strengthens the proof; see the comparison below",
  };
}

/** Purge, heater and gauges with their numbers. */
function numbered({ accessories, bottle, airPa, bottleWindow }: PlanFacts): Recommendation[] {
  const { purge, heater } = accessories;
  const psi = (pascal: number) => toUnit(pascal - airPa, "psi").toFixed(0);
  const millilitres = (purge.lineM3 * 1e6).toFixed(0);
  return [
    {
      topic: "purge valve",
      choice: `yes, a press of ${purge.pressS.toFixed(1)} s`,
      reason: `vapour in the line makes the first moment weak and rich (${PRACTICE}); the line holds ${millilitres} ml, the purge passes ${toUnit(purge.kgS, "g/s").toFixed(0)} g/s, and the line is filled one and a half times`,
      changes: "nitrous.purge-bore, a short line, or a run that opens late",
    },
    {
      topic: "bottle heater",
      choice: `yes, ${heater.powerW.toFixed(0)} W, on below ${psi(heater.onPa)} psi, off at ${psi(heater.offPa)} psi`,
      reason: `mixture and power follow bottle pressure, and the window ends at ${psi(bottleWindow.highestPa)}; it takes about ${warmUpText(bottle)}`,
      changes: "a bottle that is always near 30 C",
    },
    {
      topic: "gauges",
      choice: `bottle pressure, to ${Math.ceil(toUnit(bottleWindow.highestPa, "psi") / 500 + 0.5) * 500} psi, and fuel pressure`,
      reason: "both decide the mixture",
      changes: "sensors that the controller logs",
    },
  ];
}

function accessories(facts: PlanFacts): Recommendation[] {
  const remote = facts.stages.length > 1 || facts.added.shareOfBase > 0.5;
  return [
    activation(facts),
    ...FITTED,
    ...numbered(facts),
    {
      topic: "remote bottle valve",
      choice: remote ? "yes" : "useful",
      reason: "a second way to shut the bottle from the seat",
      changes: "a bottle within reach",
    },
    SAFETY[facts.kind](facts),
  ];
}

/** All recommendations of a plan. */
export function recommend(input: PlanInput, facts: PlanFacts): Recommendation[] {
  return [
    kindReason(input, facts),
    layoutReason(input, facts),
    ...stageReasons(input, facts),
    ...accessories(facts),
  ];
}
