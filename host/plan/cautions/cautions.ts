/** The cautions of a plan: what this goal risks, and what always applies. A `stop` prevents the settings file from being written. */
import { FLOW_NOTICE, SAFETY_NOTICES } from "#shared-schema/model/safety-notices.ts";
import type { PlanInput } from "../input/plan-input.ts";
import type { Caution, PlanFacts } from "../system-plan.ts";
import { accessoryCautions } from "./accessories.ts";
import { acknowledge } from "./acknowledged.ts";
import { bottleCautions, dayCaution, soakCaution } from "./bottle.ts";
import { fuelCautions } from "./fuel.ts";
import { partCautions } from "./parts.ts";
import { runCautions } from "./run.ts";
import type { Say } from "./say.ts";

const ALWAYS: readonly Caution[] = [...SAFETY_NOTICES, FLOW_NOTICE].map(({ text, instead = "" }) => ({
  level: "always",
  name: "safety",
  short: "",
  text,
  instead,
}));

const ORDER: readonly Caution["level"][] = ["acknowledged", "stop", "caution", "always"];

/** All cautions of a plan: acknowledged ones, stops, cautions, and what always applies; the order within each is kept. */
export function cautionsFor(input: PlanInput, facts: PlanFacts): Caution[] {
  const found: Caution[] = [];
  const say: Say = (caution) => found.push(caution);
  dayCaution(input, facts, say);
  partCautions(input, facts, say);
  fuelCautions(input, facts, say);
  bottleCautions(input, facts, say);
  accessoryCautions(facts, say);
  runCautions(input, facts, say);
  soakCaution(facts, say);
  const all = [...acknowledge(found, input.acknowledged), ...ALWAYS];
  return ORDER.flatMap((level) => all.filter((caution) => caution.level === level));
}
