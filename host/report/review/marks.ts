// Marks of a run with their words: arming, launch, pedal, gear changes, openings, shuts and trips.
import { spansOf } from "#host/logbook/spans.ts";
import { SWITCH_BITS } from "#shared-schema/model/blocks.ts";
import type { Reviewed } from "./reviewed.ts";
import { gearChanges } from "./slip.ts";
import { type Moment, storyOf } from "./story.ts";

/** Where in the log, s, and in a few words. */
export interface LogMark {
  readonly atS: number;
  readonly words: string;
}

/** Moments of the story that get a mark. */
const MARKED: readonly Moment["kind"][] = ["mode", "launch", "opens", "shuts", "trip"];

/** Short enough to stand beside others. */
const short = (words: string): string => words.replace(/^((tripped|locked out): [\w-]+).*$/s, "$1");

function pedalMarks({ samples }: Reviewed): LogMark[] {
  const down = spansOf(samples, ({ switches = 0 }) => ((switches >>> SWITCH_BITS.throttle) & 1) === 1);
  const lastS = samples.at(-1)?.time ?? 0;
  return down.flatMap(({ fromS, toS }) => [
    { atS: fromS, words: "pedal down" },
    ...(toS < lastS ? [{ atS: toS, words: "pedal up" }] : []),
  ]);
}

/** All marks, in order of time. */
export function marksOf(run: Reviewed): LogMark[] {
  const told = storyOf(run).filter(({ kind }) => MARKED.includes(kind));
  const gears = gearChanges(run).map(({ atS, gear }) => ({ atS, words: `gear ${gear}` }));
  const all = [...told.map(({ atS, words }) => ({ atS, words: short(words) })), ...pedalMarks(run), ...gears];
  return all.sort((a, b) => a.atS - b.atS);
}
