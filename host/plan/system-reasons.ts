/** Why the system is dry or wet, and why the nitrous enters where it does: each names the threshold that another goal would cross. */
import { toUnit } from "#host/units/format.ts";
import { DRY_LARGEST_W, dryDuty, type Layout, ONE_CYLINDER_W, ONE_NOZZLE_W, PLATE_W } from "./choose-kind.ts";
import type { PlanInput } from "./input/plan-input.ts";
import type { PlanFacts, Recommendation } from "./system-plan.ts";
import { hp, PRACTICE } from "./words.ts";

const JUDGEMENT = "(judgement, no source)";

/** A threshold in round figures, as it is one of practice or judgement. */
const about = (watts: number) => `about ${5 * Math.round(toUnit(watts, "hp") / 5)} hp`;

type Why = Pick<Recommendation, "reason" | "changes">;

const DRY_MOST = `the ${about(DRY_LARGEST_W)} up to which a dry system is planned here ${JUDGEMENT}`;

/** Why an engine whose computer adds the fuel has a wet system all the same. */
function notDry(input: PlanInput, wantedW: number): Why {
  const duty = dryDuty(input, wantedW);
  if (duty === undefined)
    return {
      reason: "the engine computer could add the fuel, but nothing shows that the injectors pass it",
      changes: "fuel.injector-flow",
    };
  if (wantedW > DRY_LARGEST_W)
    return {
      reason: `${hp(wantedW)} is more than ${DRY_MOST}`,
      changes: `a goal of at most ${about(DRY_LARGEST_W)}: the engine computer could then add the fuel`,
    };
  return {
    reason: `the injectors would be at ${(100 * duty).toFixed(0)} % of their 85 % duty if they fed the nitrous too`,
    changes: "larger injectors, or a smaller goal: the engine computer could then add the fuel",
  };
}

function wetWhy(input: PlanInput, wantedW: number): Why {
  const reason = "the system adds its own fuel and does not depend on injectors or engine computer";
  if (input.engine.carburettor)
    return { reason, changes: "injection: a carburettor adds no fuel for nitrous" };
  if (input.fuel.ecuEnrichment) return notDry(input, wantedW);
  const changes =
    "a manifold that is not made to carry fuel, or a computer that adds and confirms fuel (fuel.ecu-enrichment, fuel.injector-flow)";
  return { reason, changes };
}

function dryWhy(input: PlanInput, wantedW: number): Why {
  const duty = dryDuty(input, wantedW) ?? 0;
  return {
    reason: "the engine computer adds the fuel, and the injectors have the capacity for it",
    changes: `a goal above ${about(DRY_LARGEST_W)} ${JUDGEMENT}, or injectors above 85 % duty: they are at ${(100 * duty).toFixed(0)} % of that`,
  };
}

/** Dry or wet. */
export function kindReason(input: PlanInput, facts: PlanFacts): Recommendation {
  const { kind, added } = facts;
  const past = kind === "dry" && added.wantedW > DRY_LARGEST_W ? `, past ${DRY_MOST}` : "";
  const why: Why =
    input.goal.system !== "best"
      ? { reason: `as the car file asks${past}`, changes: "goal.system" }
      : kind === "dry"
        ? dryWhy(input, added.wantedW)
        : wetWhy(input, added.wantedW);
  return { topic: "dry or wet", choice: kind, ...why };
}

/** The power, W, at which the injection point changes, and where that comes from. */
function layoutLimit({ engine }: PlanInput, kind: PlanFacts["kind"]): { limitW: number; from: string } {
  if (engine.carburettor) return { limitW: PLATE_W, from: JUDGEMENT };
  const eachW = engine.cylinders * ONE_CYLINDER_W;
  if (kind !== "wet" || eachW >= ONE_NOZZLE_W) return { limitW: ONE_NOZZLE_W, from: `(${PRACTICE})` };
  const each = `40 hp for each of ${engine.cylinders} cylinders`;
  return { limitW: eachW, from: `(${each}: judgement, no source)` };
}

/** Where the nitrous enters. */
export function layoutReason(input: PlanInput, { kind, layout, added, base }: PlanFacts): Recommendation {
  const { limitW, from } = layoutLimit(input, kind);
  const limit = about(limitW);
  const wanted = hp(added.wantedW);
  const reasons: Readonly<Record<Layout, string>> = {
    "one nozzle": `${wanted} is within the range in which one nozzle feeds many manifolds evenly, up to ${limit} ${from}`,
    plate: `four outlets under a carburettor enter the mixture before it divides, up to ${limit} ${from}`,
    "nozzle for each cylinder": `${wanted} over ${base.cylinders} cylinders: uneven distribution would make some of them lean above ${limit} ${from}`,
  };
  return {
    topic: "injection point",
    choice: layout,
    reason: reasons[layout],
    changes: `a goal on the other side of ${limit}, or measured exhaust temperatures of each cylinder`,
  };
}
