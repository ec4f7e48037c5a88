// Before anything is written: what protection goes away or widens, where the rise limit rules, and the question that fits.

import { Failure } from "#host/errors/failure.ts";
import type { Hello } from "#host/link/device.ts";
import { printable } from "#host/report/terminal/wrap.ts";
import type { Change } from "#host/settings/diff.ts";
import { type Weakening, weakenings } from "#host/settings/protection.ts";
import { heldRises } from "#host/settings/rise-limit.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { answerTo, askYes, requireTerminal } from "../ask.ts";
import { LOAD_REMINDER } from "../reminders.ts";
import type { Session } from "../session.ts";
import type { ToLoad } from "./loadable.ts";
import type { LoadOptions } from "./options.ts";
import { loadQuestion, WEAKEN_WORD } from "./question.ts";

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

/** Where the rise limit, not the ramp, rules, for every ramp that changes. */
export function heldRiseTexts(changes: readonly Change[], after: Document): string[] {
  const limit = changes.some(({ field }) => field === "flow.rise-limit");
  const touched = (ramp: string): boolean =>
    limit || changes.some(({ field }) => field.startsWith(`${ramp}.`));
  return heldRises(after)
    .filter(({ field }) => touched(field))
    .map(({ text }) => text);
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
  const yes = options.yes === true;
  if (weakened.length === 0 || options.weaken === true)
    return askYes(session, loadQuestion(what, device, []), yes);
  const question = loadQuestion(what, device, weakened);
  requireTerminal(session, question, yes ? "--weaken" : "--yes and --weaken");
  const answer = (await answerTo(session, `${question}: `))?.trim().toLowerCase();
  if (answer !== WEAKEN_WORD) throw notTyped(answer ?? "");
}

/** Neither the word nor a plain no: somebody who meant yes must learn what was asked for. */
function notTyped(answer: string): Failure {
  return new Failure("declined", {
    what: `the word ${WEAKEN_WORD} was not typed${answer === "" ? "" : `, but "${printable(answer)}"`}; nothing was loaded`,
    todo: `to load it all the same, run the same command again and type the whole word ${WEAKEN_WORD}, or give --weaken besides --yes`,
  });
}
