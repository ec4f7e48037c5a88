/** What the parts of the engine and the driveline bear: their limits, added power against the engine's own, and the retard. */
import { isAbove } from "#host/units/compare.ts";
import { toUnit } from "#host/units/format.ts";
import type { PlanInput } from "../input/plan-input.ts";
import type { PlanFacts } from "../system-plan.ts";
import { hp, PRACTICE, percent } from "../words.ts";
import type { Say } from "./say.ts";

/** Whether a limit of the engine's own parts is known; a clutch or a gearbox says nothing of rods and pistons. */
const knowsEngine = ({ limits, perCylinderW }: PlanInput): boolean =>
  perCylinderW !== undefined || limits.some(({ part }) => part === "rods");

/** A number of cylinders that was only guessed must not decide how many nozzles there are, or what each cylinder bears. */
function guessedCaution(
  { assumptions, perCylinderW }: PlanInput,
  { base, layout }: PlanFacts,
  say: Say,
): void {
  const guessed = (key: string) => assumptions.some((assumption) => assumption.key === key);
  if (!guessed("engine.cylinders")) return;
  const hangs = [
    ...(layout === "nozzle for each cylinder" ? ["the number of nozzles and their jets"] : []),
    ...(perCylinderW === undefined ? [] : ["limits.power-per-cylinder"]),
    ...(guessed("fuel.injectors") ? ["what the injectors pass"] : []),
  ];
  if (hangs.length === 0) return;
  say({
    level: "stop",
    name: "cylinders",
    short: `${base.cylinders} only guessed`,
    text: `The file does not say how many cylinders there are; ${base.cylinders} were guessed from the power, and this hangs on them: ${hangs.join(", ")}.`,
    instead: "give engine.cylinders",
  });
}

function limitCaution(input: PlanInput, { window, largest, added }: PlanFacts, say: Say): void {
  if (input.limits.length === 0)
    say({
      level: "caution",
      name: "no-limits",
      short: "no limit of rods, clutch or gearbox is given",
      text: "No limits for rods, clutch or gearbox were given, so the torque was not checked against any.",
      instead: "give limits in the car file",
    });
  if (window.withinLimits || largest === undefined) return;
  const most = `${Math.floor(toUnit(largest.addedW, "hp"))} hp`;
  const edge = `at the upper edge of the flow (x ${input.nitrous.edges.high.toFixed(2)})`;
  const where = `the limit of the ${largest.part} at ${largest.rpm} rpm leaves room for less than ${hp(added.wantedW)}`;
  say({
    level: "stop",
    name: "parts",
    short: `${largest.part}: at most ${most}`,
    text: `The goal exceeds the limits given for the parts: ${edge}, ${where}, at any opening speed.`,
    instead: `plan for at most ${most}, weigh a discharge (headgate plan calibrate), or upgrade the ${largest.part}`,
  });
}

function shareCaution(input: PlanInput, { added }: PlanFacts, say: Say): void {
  const share = percent(added.shareOfBase);
  const common = {
    name: "added-power",
    short: `${share} of the engine's own power`,
    text: `The nitrous adds ${share} of the engine's own power; standard pistons and rods are commonly kept to about half of it (${PRACTICE}).`,
  };
  if (isAbove(added.shareOfBase, 1) && !knowsEngine(input))
    say({
      ...common,
      level: "stop",
      instead:
        "choose a smaller goal, or give the builder's limits.rods or limits.power-per-cylinder; else answer for it with acknowledged.added-power and a reason",
    });
  else if (isAbove(added.shareOfBase, 0.5))
    say({ ...common, level: "caution", instead: "fit forged parts, or choose a smaller goal" });
}

function cylinderCaution(input: PlanInput, { added, base, edges }: PlanFacts, say: Say): void {
  const limit = input.perCylinderW;
  const [flow, both] = added.perCylinderHighW;
  if (limit === undefined || !isAbove(both, limit)) return;
  const most = Math.max(0, (limit * base.cylinders - base.powerW) / edges.high);
  const atFlow = `at flow +${percent(edges.tolerance)}`;
  say({
    level: "stop",
    name: "power-per-cylinder",
    short: `${hp(flow)} a cylinder ${atFlow}, limit ${hp(limit)}`,
    text: `Each cylinder would make ${hp(added.perCylinderW)}, ${hp(flow)} ${atFlow}, and ${hp(both)} with the bottle at the top of its window as well: more than the limit of ${hp(limit)} given for it.`,
    instead: `plan for at most ${Math.floor(toUnit(most, "hp"))} hp, or weigh a discharge (headgate plan calibrate)`,
  });
}

function retardCaution(input: PlanInput, { retardDeg }: PlanFacts, say: Say): void {
  const { retardDeg: ceiling } = input.charge;
  if (!isAbove(retardDeg, ceiling)) return;
  const needed = `${retardDeg.toFixed(1)} degrees`;
  say({
    level: "stop",
    name: "retard",
    short: `${needed}, ceiling ${ceiling}`,
    text: `Full flow asks for ${needed} of retard (about 2 for 50 hp), more than the ceiling of ${ceiling} (${PRACTICE}): that much is for whoever built the engine to say.`,
    instead:
      "choose a smaller goal, or give limits.retard as the builder says; else answer for it with acknowledged.retard and a reason",
  });
}

/** Jets that give clearly more or less than was asked for. */
const CLEARLY = 0.06;

function jetCaution({ added }: PlanFacts, say: Say): void {
  const off = added.powerW / added.wantedW - 1;
  if (!isAbove(Math.abs(off), CLEARLY)) return;
  say({
    level: "caution",
    name: "jets",
    short: `${hp(added.powerW)} of ${toUnit(added.wantedW, "hp").toFixed(0)}: no jet is nearer`,
    text: `The nearest jets give ${hp(added.powerW)}, ${percent(Math.abs(off))} ${off < 0 ? "less" : "more"} than the ${hp(added.wantedW)} asked for; parts and mixture are checked for what they give.`,
    instead: "another size in nitrous.jets, another number of nozzles, or this power as the goal",
  });
}

/** Cautions about what engine and driveline bear. */
export function partCautions(input: PlanInput, facts: PlanFacts, say: Say): void {
  guessedCaution(input, facts, say);
  limitCaution(input, facts, say);
  shareCaution(input, facts, say);
  cylinderCaution(input, facts, say);
  retardCaution(input, facts, say);
  jetCaution(facts, say);
}
