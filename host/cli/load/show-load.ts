// What a load shows before it asks: what protects less, what changes, where the rise limit rules; and all that a dry run does.
import { diffLines } from "#host/report/terminal/diff.ts";
import { heightOf } from "#host/report/terminal/terminal.ts";
import type { Change } from "#host/settings/diff.ts";
import type { Weakening } from "#host/settings/protection.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import type { Held } from "../line/device-settings.ts";
import type { Result, Session } from "../session.ts";
import { reportHeldRises, reportWeakenings } from "./ask-weakened.ts";
import type { ToLoad } from "./loadable.ts";
import { NONE_ACTIVE, OLD_ACTIVE } from "./verdict.ts";

/** Lines that come after the differences and before the answer: rise limits, cautions, the question. */
const QUESTION_LINES = 7;

/** Shows first what protects less, which it gives back, then everything that changes. */
export function showLoad(
  session: Session,
  before: Document | undefined,
  what: ToLoad,
  changes: readonly Change[],
): Weakening[] {
  const weakened = reportWeakenings(session, before, what.document);
  const { io, talked, paint, width } = session;
  const room = { width, height: heightOf(io.stderr) - talked - QUESTION_LINES };
  for (const line of diffLines(changes, { allNew: before === undefined, room, paint })) session.talk(line);
  reportHeldRises(session, changes, what.document);
  return weakened;
}

/** What a load would have done, after everything was looked at and nothing was written, not even a copy. */
export function dryResult(
  session: Session,
  what: ToLoad,
  held: Held | undefined,
  changes: readonly Change[],
): Result {
  const weakened = showLoad(session, held?.document, what, changes);
  const verdict = held ? OLD_ACTIVE : NONE_ACTIVE;
  const same = held?.hash === what.hash;
  const would = same
    ? `settings ${what.hash} of ${what.file} are active already`
    : `settings ${what.hash} of ${what.file} would be loaded, after ${weakened.length > 0 ? "a typed word" : "a yes"}`;
  session.verdict = verdict;
  return {
    data: { dryRun: true, file: what.file, hash: what.hash, before: held?.hash ?? null, changes, weakened },
    lines: [...session.wrapped(`${would}; nothing was written`), ...session.verdictLines(verdict)],
  };
}
