// Two runs as one text: what is the same stands once, and where a line differs both stand side by side, the first above the second.
import { labelled, printable, wrap } from "../terminal/wrap.ts";
import { type NumberRow, numberRows } from "./numbers.ts";
import { type Pair, paired } from "./paired.ts";
import { resultLines } from "./result.ts";
import { type Reviewed, since } from "./reviewed.ts";
import { type Moment, storyOf } from "./story.ts";
import { headLines, ORIGINS, UNTOLD } from "./text.ts";

/** A moment with its time by the run's own origin. */
interface Told {
  readonly at: string;
  readonly words: string;
  /** For how long, where it lasts. */
  readonly lasts: string | undefined;
  readonly key: string;
}

const MEASURED = /\d+(?:\.\d+)? (?=(?:rpm|kPa|%|km\/h|V|s|lambda|points|deg)(?![a-z]))/g;

/** Moments are the same when they say the same but for what was measured; the numbers of stages belong to what they say. */
export const sameness = ({ kind, words }: Pick<Moment, "kind" | "words">): string =>
  `${kind} ${words.replace(MEASURED, "")}`;

const toldOf =
  (run: Reviewed) =>
  (moment: Moment): Told => ({
    at: `${since(run, moment.atS).toFixed(2)} s`,
    words: moment.words,
    lasts: moment.toS === undefined ? undefined : `${(moment.toS - moment.atS).toFixed(2)} s`,
    key: sameness(moment),
  });

const COLUMN = 9;
const NOT_THERE = "-";

const whole = ({ words, lasts }: Told): string => (lasts === undefined ? words : `${words} (for ${lasts})`);

/** The words of both in one, where they differ in how long it lasts at the most. */
function inOne(one: Told, other: Told): string | undefined {
  if (one.words !== other.words) return undefined;
  return one.lasts === other.lasts
    ? whole(one)
    : `${one.words} (for ${one.lasts}; second: for ${other.lasts})`;
}

/** Both times, and the words: once where both runs say the same, else each with its run. */
function momentRow([one, other]: Pair<Told>, width: number): string[] {
  const times = [one, other].map((told) => (told?.at ?? NOT_THERE).padStart(COLUMN)).join("");
  const label = `${times}  `;
  const once = one && other ? inOne(one, other) : whole((one ?? other)!);
  if (once !== undefined) return labelled(label, once, width);
  return [
    ...labelled(label, `first: ${whole(one!)}`, width),
    ...labelled(" ".repeat(label.length), `second: ${whole(other!)}`, width),
  ];
}

/** A number of both runs: once where they are the same. */
function numberRow([one, other]: Pair<NumberRow>, width: number): string[] {
  const said = (row: NumberRow | undefined): string =>
    row === undefined ? "not in this run" : `${row[1]} (${row[2]})`;
  const [what] = (one ?? other)!;
  if (said(one) === said(other)) return labelled(`${what}:`, said(one), width);
  return [`${what}:`, ...labelled("  first ", said(one), width), ...labelled("  second", said(other), width)];
}

const namedLines = (which: string, run: Reviewed, width: number): string[] => [
  ...resultLines(run, `${which}, ${run.name}`).flatMap((line) => wrap(printable(line), width, 2)),
];

/** Whose runs they are. What both say of themselves, such as what their times count from, stands once. */
function heads(one: Reviewed, other: Reviewed, width: number): string[] {
  const shared: readonly string[] = one.origin.what === other.origin.what ? [ORIGINS[one.origin.what]] : [];
  const own = (run: Reviewed): string[] => headLines(run).filter((line) => !shared.includes(line));
  const lacks = ({ lacks: all }: Reviewed): string[] => all.map((lack) => `not there: ${printable(lack)}`);
  return [...own(one), ...lacks(one), ...own(other), ...lacks(other), ...shared].flatMap((line) =>
    wrap(line, width, 2),
  );
}

/** The whole text. */
export function comparisonLines(one: Reviewed, other: Reviewed, width: number): string[] {
  const moments = paired(storyOf(one).map(toldOf(one)), storyOf(other).map(toldOf(other)), ({ key }) => key);
  const numbers = paired(numberRows(one), numberRows(other), ([what]) => what);
  return [
    ...namedLines("first", one, width),
    ...namedLines("second", other, width),
    "",
    ...heads(one, other, width),
    "",
    `What happened, at which time in the first and in the second run; ${NOT_THERE} where one has no such moment`,
    ...moments.flatMap((pair) => momentRow(pair, width)),
    "",
    "In numbers",
    ...numbers.flatMap((pair) => numberRow(pair, width)),
    "",
    ...wrap(UNTOLD, width, 2),
  ].flatMap((line) => (line.length > width ? wrap(line, width, 2) : [line]));
}
