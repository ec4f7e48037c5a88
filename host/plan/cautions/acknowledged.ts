/** What a person answers for: the STOP no longer keeps the settings from being written, and stands on top with its reason. */
import type { Acknowledged } from "../input/plan-input.ts";
import type { Caution } from "../system-plan.ts";

const reasonFor = (acknowledged: Acknowledged, name: string): string | undefined =>
  acknowledged[name as keyof Acknowledged];

/** Replaces each stop that is acknowledged by name, and adds a caution for every reason that answers nothing. */
export function acknowledge(cautions: readonly Caution[], acknowledged: Acknowledged): Caution[] {
  const taken = cautions.map((caution): Caution => {
    const reason = reasonFor(acknowledged, caution.name);
    if (caution.level !== "stop" || reason === undefined) return caution;
    const text = `${caution.text} Acknowledged in the car file: "${reason}".`;
    return { ...caution, level: "acknowledged", text, instead: "" };
  });
  const idle = Object.keys(acknowledged).filter(
    (name) => !taken.some((c) => c.level === "acknowledged" && c.name === name),
  );
  const unused = idle.map(
    (name): Caution => ({
      level: "caution",
      name: "acknowledged",
      short: `${name} needs none`,
      text: `acknowledged.${name} answers for nothing: this plan does not stop there.`,
      instead: "take it out of the car file, so that it does not answer for a later plan",
    }),
  );
  return [...taken, ...unused];
}
