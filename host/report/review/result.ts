// What a run came to, in the few words that stand first on its page.
import { digestOf } from "#host/logbook/digest.ts";
import type { Reviewed } from "./reviewed.ts";
import { storyOf } from "./story.ts";

function endWords(run: Reviewed): string {
  const trip = storyOf(run).find(({ kind }) => kind === "trip");
  if (trip === undefined) return "Nothing tripped.";
  const words = trip.words.replace(/^(\w)/, (first) => first.toUpperCase());
  return /[.!]$/.test(words) ? words : `${words}.`;
}

/** What tripped, at which value; then for how long it flowed, and the highest speeds. */
export function resultLines(run: Reviewed, name: string | undefined): string[] {
  const { flowingS, peakKmh, peakRpm } = digestOf(run.samples);
  const flowed = flowingS > 0 ? `Flowed for ${flowingS.toFixed(2)} s` : "Nothing flowed";
  const whose = name === undefined ? "" : `${name}: `;
  return [`${whose}${endWords(run)}`, `${flowed}; up to ${peakKmh.toFixed(0)} km/h and ${peakRpm} rpm.`];
}
