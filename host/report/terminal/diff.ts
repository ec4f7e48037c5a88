// What a load changes, in lines: the field, the old value over the new one, and ramps as a small plot.
import type { Change } from "#host/settings/diff.ts";
import { FULL_SHARE_PERMILLE } from "#shared-schema/settings/words.ts";
import { plotLines } from "./plot.ts";
import type { Paint } from "./terminal.ts";
import { labelled } from "./wrap.ts";

/** Differences as lines; when everything is new one sentence says so. */
export function diffLines(
  changes: readonly Change[],
  allNew: boolean,
  width: number,
  paint: Paint,
): string[] {
  if (allNew) return ["The controller holds no settings yet: everything in the file is new."];
  if (changes.length === 0) return ["No setting changes."];
  const count = `${changes.length} setting${changes.length === 1 ? " changes" : "s change"}:`;
  return [count, ...changes.flatMap((change) => changeLines(change, width, paint))];
}

function changeLines({ field, before, after, ramp }: Change, width: number, paint: Paint): string[] {
  const plot = ramp && ramp.before.length > 0 && ramp.after.length > 0;
  return [
    paint.strong(field),
    ...labelled("  old", before ?? "not there", width),
    ...labelled("  new", after ?? "not there", width),
    ...(plot ? plotLines({ ...ramp, top: FULL_SHARE_PERMILLE }, width) : []),
  ];
}
