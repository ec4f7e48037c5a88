// Before anything is written: what protection goes away or widens, where the rise limit rules, and the question that fits.

import { Failure } from "#host/errors/failure.ts";
import { boardWords } from "#host/link/board-number.ts";
import type { Hello } from "#host/link/device.ts";
import type { Change } from "#host/settings/diff.ts";
import { type Weakening, weakenings } from "#host/settings/protection.ts";
import { heldRises } from "#host/settings/rise-limit.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { answerTo, askYes, requireTerminal } from "../ask.ts";
import { LOAD_REMINDER } from "../reminders.ts";
import type { Session } from "../session.ts";
import type { ToLoad } from "./loadable.ts";
import type { LoadOptions } from "./options.ts";

/** What somebody types to load settings that protect less. */
export const WEAKEN_WORD = "weaken";

/** Says what protects less than before; gives it. Settings that nothing stood before weaken nothing. */
export function reportWeakenings(
  session: Session,
  before: Document | undefined,
  after: Document,
): Weakening[] {
  const found = before === undefined ? [] : weakenings(before, after);
  if (found.length > 0)
    session.talk(session.paint.warn("CAUTION: these settings protect less than those on the controller:"));
  for (const { text } of found) session.talk(`  - ${text}`);
  return found;
}

/** Says where the rise limit, not the ramp, rules, for every ramp that changes. */
export function reportHeldRises(session: Session, changes: readonly Change[], after: Document): void {
  const limit = changes.some(({ field }) => field === "flow.rise-limit");
  const touched = (ramp: string): boolean =>
    limit || changes.some(({ field }) => field.startsWith(`${ramp}.`));
  for (const { field, text } of heldRises(after)) if (touched(field)) session.talk(text);
}

/** The last question before a load: the word when a protection goes away or widens, else yes. Fails as `askYes` does. */
export async function askLoad(
  session: Session,
  options: LoadOptions,
  what: ToLoad,
  device: Hello,
  weakened: readonly Weakening[],
): Promise<void> {
  session.talk(LOAD_REMINDER);
  const into = `${what.file} into ${boardWords(device.boardId)}`;
  const yes = options.yes === true;
  if (weakened.length === 0 || options.weaken === true) return askYes(session, `Load ${into}?`, yes);
  const question = `Type ${WEAKEN_WORD} to load ${into} with less protection`;
  requireTerminal(session, question, yes ? "--weaken" : "--yes and --weaken");
  const answer = await answerTo(session, `${question}: `);
  if (answer?.trim().toLowerCase() !== WEAKEN_WORD) throw new Failure("declined");
}
