// A review as text for a terminal: what it came to, whose run it is, what happened, the numbers, and what is not there.
import { labelled, printable, wrap } from "../terminal/wrap.ts";
import { type NumberRow, numberRows } from "./numbers.ts";
import { resultLines } from "./result.ts";
import { type Reviewed, since } from "./reviewed.ts";
import { type Moment, storyOf } from "./story.ts";

const seconds = (s: number): string => `${s.toFixed(2)} s`.padStart(9);

/** `0.42 s: held off by ...`, and for how long. */
export function momentWords({ atS, toS, words }: Moment): string {
  return toS === undefined ? words : `${words} (for ${(toS - atS).toFixed(2)} s)`;
}

function storyLines(run: Reviewed, width: number): string[] {
  return storyOf(run).flatMap((moment) =>
    labelled(`${seconds(since(run, moment.atS))}  `, momentWords(moment), width),
  );
}

/** What the times count from. */
export const ORIGINS = {
  launch: "times count from the launch",
  "first flow": "times count from the first flow: no launch is in the log",
  arming: "times count from arming: nothing flowed, and no launch is in the log",
} as const;

/** Whose run it is, from where, with which settings. */
export function headLines({ name, run, facts, note, settingsCrc, settings, origin }: Reviewed): string[] {
  const crc = settingsCrc === undefined ? "unknown" : settingsCrc.toString(16).padStart(8, "0");
  const of = facts
    ? ` of board ${facts.board}, image ${facts.image}, pulled ${facts.pulled.slice(0, 10)}`
    : "";
  return [
    `${name}: run ${run}${of}`,
    `settings ${crc}${settings ? "" : ": not at hand, so no limit and no ramp is shown"}`,
    ...(note === undefined ? [] : [`note: ${note}`]),
    ORIGINS[origin.what],
  ].map(printable);
}

/** Columns that the basis of a number needs beside it. */
const LEAST_BASIS = 30;

function numberLines(rows: readonly NumberRow[], width: number): string[] {
  const widths = [0, 1].map((c) => Math.max(...rows.map((row) => row[c]!.length)));
  const narrow = widths[0]! + widths[1]! + LEAST_BASIS > width;
  if (narrow)
    return rows.flatMap(([what, value, basis]) => [`${what}: ${value}`, ...labelled(" ", basis, width)]);
  return rows.flatMap(([what, value, basis]) =>
    labelled(`${what.padEnd(widths[0]!)}  ${value.padStart(widths[1]!)} `, basis, width),
  );
}

/** The whole text, the verdict first. */
export function reviewLines(run: Reviewed, width: number): string[] {
  return [
    ...resultLines(run, undefined).flatMap((line) => wrap(line, width, 2)),
    "",
    ...headLines(run).flatMap((line) => wrap(line, width, 2)),
    ...run.lacks.flatMap((lack) => wrap(`not there: ${printable(lack)}`, width, 2)),
    "",
    "What happened",
    ...storyLines(run, width),
    "",
    "In numbers",
    ...numberLines(numberRows(run), width),
    "",
    ...wrap(UNTOLD, width, 2),
  ];
}

/** What no log of this kind can tell. */
export const UNTOLD =
  "The log holds what the controller measured and asked for. What the valves let through and what is left in the bottle are not in it.";
