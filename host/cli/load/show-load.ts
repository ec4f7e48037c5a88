// What a load shows before it asks: what protects less, what changes, where the rise limit rules; and all that a dry run does.
import { diffLines, inFullCommand } from "#host/report/terminal/diff.ts";
import { heightOf, widthOf } from "#host/report/terminal/terminal.ts";
import { wrap } from "#host/report/terminal/wrap.ts";
import type { Change } from "#host/settings/diff.ts";
import type { Weakening } from "#host/settings/protection.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import type { Held } from "../line/device-settings.ts";
import type { Result, Session } from "../session.ts";
import { heldRiseTexts, reportWeakenings } from "./ask-weakened.ts";
import type { ToLoad } from "./loadable.ts";
import { settingsWords } from "./question.ts";
import { NONE_ACTIVE, OLD_ACTIVE } from "./verdict.ts";

/** Lines that texts take on a screen, each on lines of its own. */
const linesFor = (texts: readonly string[], width: number): number =>
  texts.flatMap((text) => wrap(text, width - 1, 2)).length;

/** What a load shows, and what is said after it, which must be on the same screen. */
export interface Shown {
  readonly before: Document | undefined;
  readonly what: ToLoad;
  readonly changes: readonly Change[];
  readonly saidAfter: (weakened: readonly Weakening[]) => readonly string[];
}

/**
 * Shows first what protects less, which it gives back, then everything that changes. Both and what is said after them, the
 * question above all, stand on one screen; what was said before, such as the port, may leave it.
 */
export function showLoad(session: Session, { before, what, changes, saidAfter }: Shown): Weakening[] {
  const from = session.talked;
  const weakened = reportWeakenings(session, before, what.document);
  const rises = heldRiseTexts(changes, what.document);
  const { io, paint } = session;
  const width = widthOf(io.stderr);
  const after = linesFor([...rises, ...saidAfter(weakened)], width);
  const height = heightOf(io.stderr) - (session.talked - from) - after - ANSWER_LINE;
  const sides = { before: "controller", after: what.copy ? "copy" : "file" };
  const how = {
    allNew: before === undefined,
    sides,
    inFull: inFullCommand(what.file),
    room: { width, height },
    paint,
  };
  for (const line of [...diffLines(changes, how), ...rises]) session.talk(line);
  return weakened;
}

/** The cursor stands on a line of its own where the answer does not fit behind the question. */
const ANSWER_LINE = 1;

/** What a load would have done, after everything was looked at and nothing was written, not even a copy. */
export function dryResult(
  session: Session,
  what: ToLoad,
  held: Held | undefined,
  changes: readonly Change[],
): Result {
  const verdict = held ? OLD_ACTIVE : NONE_ACTIVE;
  const same = held?.hash === what.hash;
  const would = (weakened: readonly Weakening[]): string =>
    same
      ? `${settingsWords(what)} are active already; nothing was written`
      : `${settingsWords(what)} would be loaded, after ${weakened.length > 0 ? "a typed word" : "a yes"}; nothing was written`;
  const saidAfter = (weakened: readonly Weakening[]): string[] => [would(weakened), verdict];
  const weakened = showLoad(session, { before: held?.document, what, changes, saidAfter });
  session.verdict = verdict;
  return {
    data: { dryRun: true, file: what.file, hash: what.hash, before: held?.hash ?? null, changes, weakened },
    lines: [...session.wrapped(would(weakened)), ...session.verdictLines(verdict)],
  };
}
