// The advice of a plan as sections: choices with reasons, cautions, installation, and what was assumed.
import { DECIDES_SAFETY } from "#host/plan/input/defaults.ts";
import type { Caution, Recommendation, SystemPlan } from "#host/plan/system-plan.ts";
import type { PlanSection } from "./section.ts";

const MARKS: Readonly<Record<Caution["level"], string>> = {
  acknowledged: "ACKNOWLEDGED: ",
  stop: "STOP: ",
  caution: "CAUTION: ",
  always: "",
};
/** Choices about the system itself come first in the list of recommendations. */
const SYSTEM_CHOICES = 4;
const ASSUMPTIONS_A_SCREEN = 16;

const line = ({ level, text, instead }: Caution): string => {
  const remedy = instead === "" ? "" : ` Instead: ${instead.replace(/\.$/u, "")}.`;
  return `- ${MARKS[level]}${text}${remedy}`;
};

/** What somebody answers for, with the reason; it stands before everything else. */
export const acknowledgedLines = ({ cautions }: SystemPlan): string[] =>
  cautions
    .filter(({ level }) => level === "acknowledged")
    .map(({ name, text }) => `${MARKS.acknowledged}${name}. ${text}`);

/** A key as a few words: groups that go without saying are left out. */
const shortKey = (key: string): string =>
  key.replace(/^(?:controls|nitrous|engine)\./u, "").replace(".", " ");

/** What decides safety and is only assumed, in one paragraph; empty when the car file says it all. */
export function assumedLine({ assumptions }: SystemPlan): string[] {
  const found = assumptions.filter(({ key }) => DECIDES_SAFETY.includes(key));
  if (found.length === 0) return [];
  const values = found.map(({ key, value }) => `${shortKey(key)} ${value}`).join("; ");
  return [`ASSUMED, and decides safety: ${values}. Enter the true values.`];
}

/** Cautions of this plan, stops first. */
export function cautionSection({ cautions }: SystemPlan): PlanSection {
  const parts = cautions.filter(({ level }) => level === "stop" || level === "caution").map(line);
  return { id: "cautions", heading: "Cautions", parts };
}

/** What holds for every plan. */
export function safetySection({ cautions }: SystemPlan): PlanSection {
  const parts = cautions.filter(({ level }) => level === "always").map(line);
  return { id: "safety", heading: "Before anything flows", parts };
}

const advice = (r: Recommendation): string =>
  `- ${r.topic}: ${r.choice}. ${sentence(r.reason)} What would change it: ${r.changes}.`;
const sentence = (text: string): string => `${text.charAt(0).toUpperCase()}${text.slice(1)}.`;

/** Dry or wet, injection point, stages, ramp. */
export const choiceSection = (plan: SystemPlan): PlanSection => ({
  id: "choices",
  heading: "Choices",
  parts: plan.recommendations.slice(0, SYSTEM_CHOICES).map(advice),
});

/** Activation and accessories. */
export const accessorySection = (plan: SystemPlan): PlanSection => ({
  id: "accessories",
  heading: "Activation and accessories",
  parts: plan.recommendations.slice(SYSTEM_CHOICES).map(advice),
});

/** What each way to switch the nitrous can hold, on and off. */
export const activationSection = (): PlanSection => ({
  id: "activation",
  heading: "Ways to switch it, compared",
  parts: [
    {
      head: ["what is held", "two switches", "engine computer", "this controller"],
      rows: [
        ["full throttle", "a switch", "its own sensor", "switch, sensor as well"],
        ["engine speed", "no", "often both ends", "window, both ends"],
        ["road speed", "no", "seldom", "window, ramp over it"],
        ["gear", "no", "some", "window, from both speeds"],
        ["boost", "a switch, one end", "its own sensor", "window, ramp, trip above"],
        ["bottle pressure", "a switch, one end", "seldom", "window, both ends"],
        ["fuel pressure", "a switch, low end", "some", "low end, sensor"],
        ["share of the flow", "all or nothing", "some pulse it", "ramp, valves watched"],
        ["retard", "no", "its own map", "request, flow follows it"],
      ],
    },
    "Two switches are an arm switch and a full-throttle switch in series. What an engine computer's output can hold differs from one to the next: its maker's instructions say (this table is common practice, no source).",
  ],
});

/** Steps of the installation. */
export const checklistSection = (plan: SystemPlan): PlanSection => ({
  id: "installation",
  heading: "Installation checklist",
  parts: plan.checklist.map((step, i) => `${i + 1}. ${step}`),
});

/** Values that the car file left out, one screen at a time. */
export function assumptionSection(plan: SystemPlan): PlanSection[] {
  const lines = plan.assumptions.map(({ key, value, why }) => `- ${key}: ${value}. ${sentence(why)}`);
  if (lines.length === 0)
    return [{ id: "assumed-1", heading: "Assumptions", parts: ["Nothing: the car file gives every value."] }];
  const pages = Math.ceil(lines.length / ASSUMPTIONS_A_SCREEN);
  return Array.from({ length: pages }, (_, i) => ({
    id: `assumed-${i + 1}`,
    heading: pages === 1 ? "Assumptions" : `Assumptions (${i + 1} of ${pages})`,
    parts: [
      "These values are not in the car file. Enter the true value of each.",
      ...lines.slice(i * ASSUMPTIONS_A_SCREEN, (i + 1) * ASSUMPTIONS_A_SCREEN),
    ],
  }));
}
