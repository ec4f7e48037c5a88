// How the shares of a stage were made where a pulse in each period could not make them: stretches of a plot, and what they mean.
import type { Flow, Making } from "#host/bench/findings.ts";
import type { Stretch } from "../chart/panel.ts";

const MEANINGS: Readonly<Record<Exclude<Making, "pulsed">, string>> = {
  pattern:
    "Pattern: one pulse in each period cannot make this share, because the valve needs its time to open and to shut. So the valve stays open, or shut, over several periods at a time, and the share is right only as a mean over them: the line moves in steps.",
  open: "Open: what is left of a period is too short for the valve to shut in. So it is not pulsed any more but held open, and the share jumps to 100 %.",
};

function stretchesIn({ points, toS }: Flow): (Stretch & { readonly made: Making })[] {
  const begun = points.filter(({ made }, i) => made !== points[i - 1]?.made);
  return begun.map(({ made, s }, i) => ({ made, from: s, to: begun[i + 1]?.s ?? toS, words: made }));
}

/** Stretches in which a stage was not simply pulsed. */
export const unpulsed = (flows: readonly Flow[]): (Stretch & { readonly made: Making })[] =>
  flows.flatMap(stretchesIn).filter(({ made, from, to }) => made !== "pulsed" && to > from);

/** What the stretches of a stage mean, a sentence for each kind that no stage before it had. */
export function makingNotes(stages: readonly (readonly Flow[])[], stage: number): string[] {
  const madeIn = (flows: readonly Flow[]): Set<Making> => new Set(unpulsed(flows).map(({ made }) => made));
  const before = madeIn(stages.slice(0, stage).flat());
  const made = madeIn(stages[stage] ?? []);
  return (["pattern", "open"] as const)
    .filter((kind) => made.has(kind) && !before.has(kind))
    .map((kind) => MEANINGS[kind]);
}
