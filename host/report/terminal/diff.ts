// What a load changes, in lines: the field, the old value over the new one, ramps as a small plot; folded where the screen is short.
import type { Change } from "#host/settings/diff.ts";
import { FULL_SHARE_PERMILLE } from "#shared-schema/settings/words.ts";
import type { Room } from "./fold.ts";
import { plotLines } from "./plot.ts";
import type { Paint } from "./terminal.ts";
import { labelled, wrap } from "./wrap.ts";

/** How differences are shown. */
export interface DiffOptions {
  /** There was nothing before. */
  readonly allNew: boolean;
  readonly room: Room;
  readonly paint: Paint;
}

/** Fewest lines of differences that make sense, whatever else is on the screen. */
const LEAST = 6;
/** Rows of a plot, whichever there is room for. */
const PLOT_ROWS = [8, 6, 4];

/**
 * Differences as lines, the count first. Where there is no room for each in full they become a line each, groups that come or
 * go with one for the whole group; where there is no room for that either, the last line says how many more there are.
 */
export function diffLines(changes: readonly Change[], { allNew, room, paint }: DiffOptions): string[] {
  if (allNew) return ["The controller holds no settings yet: everything in the file is new."];
  if (changes.length === 0) return ["No setting changes."];
  const count = `${changes.length} setting${changes.length === 1 ? " changes" : "s change"}:`;
  const height = Math.max(LEAST, room.height);
  const inFull = (rows: number): string[] =>
    changes.flatMap((change) => changeLines(change, room.width, rows, paint));
  const fits = PLOT_ROWS.map(inFull).find((lines) => lines.length < height);
  return [count, ...(fits ?? folded(changes, room.width, height - 1))];
}

function changeLines(
  { field, before, after, ramp }: Change,
  width: number,
  rows: number,
  paint: Paint,
): string[] {
  const plot = ramp && ramp.before.length > 0 && ramp.after.length > 0;
  return [
    paint.strong(field),
    ...labelled("  old", before ?? "not there", width),
    ...labelled("  new", after ?? "not there", width),
    ...(plot ? plotLines({ ...ramp, top: FULL_SHARE_PERMILLE }, width, rows) : []),
  ];
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
  const what = within > 0 ? `${after ? "new" : "gone"}, with ${within} settings` : undefined;
  return wrap(`${field}: ${what ?? `${before ?? "not there"} -> ${after ?? "not there"}`}`, width, 4);
}

function folded(changes: readonly Change[], width: number, height: number): string[] {
  const groups = grouped(changes);
  const lines = groups.map((group) => foldedLines(group, width));
  let [shown, used] = [0, 0];
  const room = lines.flat().length <= height ? height : height - 1;
  while (shown < lines.length && used + lines[shown]!.length <= room) used += lines[shown++]!.length;
  const rest = groups.slice(shown).reduce((sum, { within }) => sum + 1 + within, 0);
  const more = rest === 0 ? [] : [`and ${rest} more; headgate diff --all shows each`];
  return [...lines.slice(0, shown).flat(), ...more];
}
