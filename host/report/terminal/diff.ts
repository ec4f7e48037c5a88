// What a load changes, in lines: the field, one side over the other, ramps as a small plot; folded where the screen is short.
import type { Change } from "#host/settings/diff.ts";
import { FULL_SHARE_PERMILLE } from "#shared-schema/settings/words.ts";
import type { Room } from "./fold.ts";
import { plotLines } from "./plot.ts";
import { shellWord } from "./shell-word.ts";
import type { Paint } from "./terminal.ts";
import { labelled, printable, wrap } from "./wrap.ts";

/** What both sides are called: `controller` and `file`, say. */
export interface Sides {
  readonly before: string;
  readonly after: string;
}

/** How differences are shown. */
export interface DiffOptions {
  /** There was nothing before. */
  readonly allNew: boolean;
  readonly sides: Sides;
  /** The command that shows each difference in full. */
  readonly inFull: string;
  readonly room: Room;
  readonly paint: Paint;
}

/** The command that shows all differences of these files in full. */
export const inFullCommand = (...files: readonly string[]): string =>
  `headgate diff --all ${files.map((file) => shellWord(printable(file))).join(" ")}`;

/** Fewest lines of differences that make sense, whatever else is on the screen. */
const LEAST = 6;
/** Rows of a plot, whichever there is room for. */
const PLOT_ROWS = [8, 6, 4];
/** Fewest rows that still show which curve lies above the other. */
const FEWEST_ROWS = 3;

/**
 * Differences as lines, the count first. Where there is no room for each in full, what matters least gives way first: settings
 * that are no ramp become a line each, groups that come or go one for the whole group; then plots become lower, then the last
 * ramps lose theirs; at last the last line says how many more there are. Changed ramps stand first then.
 */
export function diffLines(changes: readonly Change[], options: DiffOptions): string[] {
  const { allNew, room } = options;
  if (allNew) return ["The controller holds no settings yet: everything in the file is new."];
  if (changes.length === 0) return ["No setting differs."];
  const count = `${changes.length} setting${changes.length === 1 ? " differs" : "s differ"}:`;
  const height = Math.max(LEAST, room.height) - 1;
  const forms = PLOT_ROWS.map(
    (rows) => () => changes.flatMap((change) => changeLines(change, rows, options)),
  );
  const fits = [...forms, ...rampForms(changes, options)].map((form) => form());
  return [count, ...(fits.find((lines) => lines.length <= height) ?? folded(changes, height, options))];
}

const isRamp = ({ ramp }: Change): boolean =>
  ramp !== undefined && ramp.before.length > 0 && ramp.after.length > 0;

/** One difference in full; a ramp with so many rows of plot, or with none. */
function changeLines(change: Change, rows: number, { sides, room: { width }, paint }: DiffOptions): string[] {
  const { field, before, after, ramp } = change;
  const room = Math.max(sides.before.length, sides.after.length);
  return [
    paint.strong(field),
    ...labelled(`  ${sides.before.padEnd(room)}`, before ?? "not there", width),
    ...labelled(`  ${sides.after.padEnd(room)}`, after ?? "not there", width),
    ...(ramp && isRamp(change) && rows > 0
      ? plotLines({ ...ramp, top: FULL_SHARE_PERMILLE, sides }, width, rows)
      : []),
  ];
}

/** Ramps in full and all others in a line each: first with lower and lower plots, then with fewer and fewer of them. */
function rampForms(changes: readonly Change[], options: DiffOptions): (() => string[])[] {
  const ramps = changes.filter(isRamp);
  const others = grouped(changes.filter((change) => !isRamp(change)));
  const form = (rows: number, plots: number) => (): string[] => [
    ...ramps.flatMap((change, n) => changeLines(change, n < plots ? rows : 0, options)),
    ...others.flatMap((other) => foldedLines(other, options.room.width)),
  ];
  const fewer = ramps.map((_, n) => form(FEWEST_ROWS, ramps.length - 1 - n));
  return [...[...PLOT_ROWS, FEWEST_ROWS].map((rows) => form(rows, ramps.length)), ...fewer];
}

/** A difference, and how many settings below it came or went with it. */
interface Folded {
  readonly change: Change;
  readonly within: number;
}

/** Groups that come or go stand for all that is in them. */
function grouped(changes: readonly Change[]): Folded[] {
  const whole = changes.filter(({ before, after }) => before === "there" || after === "there");
  const inside = ({ field }: Change, { field: group }: Change): boolean => field.startsWith(`${group}.`);
  return changes
    .filter((change) => !whole.some((group) => inside(change, group)))
    .map((change) => ({ change, within: changes.filter((other) => inside(other, change)).length }));
}

function foldedLines({ change: { field, before, after }, within }: Folded, width: number): string[] {
  const settings = `${within} setting${within === 1 ? "" : "s"}`;
  const what = within > 0 ? `${after ? "new" : "gone"}, with ${settings}` : undefined;
  return wrap(`${field}: ${what ?? `${before ?? "not there"} -> ${after ?? "not there"}`}`, width, 4);
}

/** A line each, changed ramps first, as many as there is room for; the rest is counted. */
function folded(
  changes: readonly Change[],
  height: number,
  { room: { width }, inFull }: DiffOptions,
): string[] {
  const groups = grouped([...changes.filter(isRamp), ...changes.filter((change) => !isRamp(change))]);
  const lines = groups.map((group) => foldedLines(group, width));
  const more = (from: number): string[] => {
    const rest = groups.slice(from).reduce((sum, { within }) => sum + 1 + within, 0);
    return rest === 0 ? [] : wrap(`and ${rest} more; ${inFull} shows each`, width, 2);
  };
  let shown = lines.length;
  while (shown > 0 && lines.slice(0, shown).flat().length + more(shown).length > height) shown--;
  return [...lines.slice(0, shown).flat(), ...more(shown)];
}
