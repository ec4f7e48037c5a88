/** The bottle as it stands today, its fill, and the mixture at the edges of window and flow. */
import { isAbove, isBelow } from "#host/units/compare.ts";
import type { PlanInput } from "../input/plan-input.ts";
import type { MixtureEdge } from "../nitrous/mixture.ts";
import type { PlanFacts } from "../system-plan.ts";
import { percent, psi, warmUpText } from "../words.ts";
import type { Say } from "./say.ts";

/** The bottle at the stated temperature against the window: what the controller will do, before anything else. */
export function dayCaution(input: PlanInput, { airPa, bottle }: PlanFacts, say: Say): void {
  const { day, window, bottlePa } = input.nitrous;
  if (day === undefined) return;
  const dayPa = day.pressurePa;
  const stands = `At the stated temperature the full bottle stands at ${psi(dayPa, airPa)}`;
  const sized = `Jets are sized for ${psi(bottlePa, airPa)}`;
  if (isAbove(dayPa, window.highestPa))
    say({
      level: "caution",
      name: "bottle-hot",
      short: `${psi(dayPa, airPa)}: trips BOTTLE-HIGH and never opens; cool it`,
      text: `${stands}, above the top of its window (${psi(window.highestPa, airPa)}): BOTTLE-HIGH trips, and the system never opens. ${sized}.`,
      instead:
        "cool the bottle first, with shade and wet cloths, and read its gauge; never vent it towards people",
    });
  if (isBelow(dayPa, window.lowestPa))
    say({
      level: "caution",
      name: "bottle-cold",
      short: `${psi(dayPa, airPa)}: BOTTLE-LOW keeps it shut; warm it`,
      text: `${stands}, below its window (${psi(window.lowestPa, airPa)}): BOTTLE-LOW keeps the system shut. ${sized}.`,
      instead: `warm it with its heater, about ${warmUpText(bottle)}`,
    });
}

function fillCautions({ bottle, airPa }: PlanFacts, say: Say): void {
  if (bottle.singlePhaseAtStart)
    say({
      level: "caution",
      name: "bottle-full",
      short: `full of liquid at ${psi(bottle.startPa, airPa)}, no vapour cushion`,
      text: `Filled to ${(bottle.fullDensityKgM3 / 10).toFixed(0)} % of its water capacity, the bottle is completely full of liquid at ${psi(bottle.startPa, airPa)}: it has no vapour cushion, and its pressure rises by about 48 psi for each degree.`,
      instead: "use 900 psi gauge with a full bottle",
    });
  if (bottle.runs.length < 2)
    say({
      level: "caution",
      name: "few-runs",
      short: `${bottle.runs.length} run(s) a fill`,
      text: `The bottle gives ${bottle.runs.length} run(s) before its pressure falls by more than 15 %.`,
      instead: "fit a larger bottle",
    });
}

/** A full bottle in the sun: the same for every system, so it stands with what always applies. */
export function soakCaution({ bottle, airPa }: PlanFacts, say: Say): void {
  const hot = bottle.soaks.at(-1)!;
  say({
    level: "always",
    name: "bottle-soak",
    short: "a full bottle in the sun",
    text: `A full bottle soaked at 52 C reaches ${psi(hot.pressurePa, airPa)}; the critical point lies at 1036 psi gauge (36.4 C), beyond which there is no liquid and pressure no longer shows the contents.`,
    instead:
      "keep it in the shade; the top of the customary window of 900 to 1050 psi is already beyond the critical point",
  });
}

const where = ({ bottlePa, boiling, stages }: MixtureEdge, airPa: number): string =>
  `${stages === 1 ? "stage 1 alone" : `${stages} stages`}, ${boiling ? "boiling liquid" : "a full bottle"} at ${psi(bottlePa, airPa)}`;

/** Fuel jets on hand that miss the wanted mixture by this part of it are what is wrong with it. */
const COARSE = 0.1;

/** What would bring the mixture inside its limits, the nearest cause first. */
function mixtureRemedy(input: PlanInput, { kinds, stages }: PlanFacts, edge: MixtureEdge): string {
  const off = kinds.chargeLambda / input.nitrous.lambda - 1;
  const jets = isAbove(Math.abs(off), COARSE)
    ? [`${off < 0 ? "smaller" : "larger"} fuel jets (fuel.jets), which are ${percent(Math.abs(off))} off`]
    : [];
  const alone = edge.stages < stages.length ? ["a wider line (nitrous.line-bore), fewer stages"] : [];
  const rest = [
    ...alone,
    "weigh a discharge (headgate plan calibrate)",
    "narrow nitrous.bottle-window",
    "choose another nitrous.lambda",
  ];
  return [...jets, ...rest].join(", or ");
}

/** With a third digit where two would make it look equal to its limit. */
const beside = (lambda: number, limit: number): string =>
  lambda.toFixed(lambda.toFixed(2) === limit.toFixed(2) ? 3 : 2);

function mixtureCautions(input: PlanInput, facts: PlanFacts, say: Say): void {
  const { mixtureRange, airPa, edges } = facts;
  const { lean, rich } = mixtureRange;
  const limits = input.charge;
  if (isAbove(lean.lambda, limits.lean))
    say({
      level: "stop",
      name: "mixture-lean",
      short: `lambda ${beside(lean.lambda, limits.lean)} at the edge, ceiling ${limits.lean}`,
      text: `The nitrous charge could be as lean as lambda ${beside(lean.lambda, limits.lean)} (${where(lean, airPa)}, flow +${percent(edges.tolerance)}): leaner than the ceiling of ${limits.lean} (ours, no source).`,
      instead: mixtureRemedy(input, facts, lean),
    });
  if (isBelow(rich.lambda, limits.rich))
    say({
      level: "stop",
      name: "mixture-rich",
      short: `lambda ${beside(rich.lambda, limits.rich)} at the edge, floor ${limits.rich}`,
      text: `The nitrous charge could be as rich as lambda ${beside(rich.lambda, limits.rich)} (${where(rich, airPa)}, flow -${percent(edges.tolerance)}): richer than the floor of ${limits.rich} (ours, no source).`,
      instead: mixtureRemedy(input, facts, rich),
    });
}

function watchCaution({ bottleWindow, bottle, airPa }: PlanFacts, say: Say): void {
  if (bottleWindow.watched) return;
  const hot = psi(bottle.soaks.at(-1)!.pressurePa, airPa);
  say({
    level: "stop",
    name: "bottle-sensor",
    short: "none: nothing ends the flow of a hot bottle",
    text: `Without a bottle pressure sensor nothing ends the flow when sun or heater bring the bottle above its window (up to ${hot}): the mixture is then leaner than any plan can hold.`,
    instead:
      "fit a bottle pressure sensor (controls.bottle-sensor: yes); BOTTLE-LOW and BOTTLE-HIGH then keep the window",
  });
}

/** Cautions about fill and mixture. */
export function bottleCautions(input: PlanInput, facts: PlanFacts, say: Say): void {
  mixtureCautions(input, facts, say);
  watchCaution(facts, say);
  fillCautions(facts, say);
}
