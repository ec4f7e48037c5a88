// The rules that join settings, as data: a sum of products must not rise above zero while its fields are in use.
import { STAGES } from "../model/pins.ts";
import type { Rule } from "./rule.ts";
import { partRules, sensorRules } from "./sensors.ts";
import { stageRules } from "./stages.ts";
import { windowRules } from "./windows.ts";

export type { Condition, Rule, Term } from "./rule.ts";

/** Every rule, written out for every stage and ramp, in the order in which they are judged. */
export const RULES: readonly Rule[] = [
  ...sensorRules,
  ...partRules,
  ...windowRules("windows."),
  ...Array.from({ length: STAGES }, (_, s) => stageRules(s)).flat(),
];
