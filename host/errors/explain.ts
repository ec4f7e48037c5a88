// The long form of every name that a message can mention: error codes, interlocks, rules and cautions, offline.

import { longestTime } from "#shared-schema/generate/interlock-doc.ts";
import { INTERLOCKS, type Interlock } from "#shared-schema/model/interlocks.ts";
import { RULES } from "#shared-schema/rules/rules.ts";
import { CAUTIONS } from "#shared-schema/rules/settings-cautions.ts";
import { ERRORS, type ErrorCode } from "./codes.ts";

/** One page. */
export interface Page {
  readonly name: string;
  readonly kind: "error" | "interlock" | "rule" | "caution";
  readonly title: string;
  readonly paragraphs: readonly string[];
}

function errorPage(code: ErrorCode): Page {
  const { what, todo, long, exit } = ERRORS[code];
  return {
    name: code,
    kind: "error",
    title: what,
    paragraphs: [long, `What to do: ${todo}.`, `Exit code ${exit}.`],
  };
}

const REACTIONS: Readonly<Record<Interlock["reaction"], string>> = {
  off: "everything off at once",
  "hold-off": "no flow while it lasts; flow may go on after it",
  trip: "everything off until the arm switch is switched off and on again",
  lockout: "everything off until the controller's power is removed; a restart does not release it",
  "cut-back": "the share is cut back, then ramps up again",
  "cannot-arm": "the controller does not arm",
  refused: "the request is refused, nothing changes",
};

function interlockPage(row: Interlock): Page {
  const within =
    row.withinUs === undefined
      ? "Nothing can be flowing when it acts."
      : `All solenoid pins are low within ${longestTime(row)}.`;
  const state = row.works ? [] : ["This interlock is planned and does not act in this version."];
  return {
    name: row.id,
    kind: "interlock",
    title: row.cause,
    paragraphs: [`Reaction: ${REACTIONS[row.reaction]}.`, within, `What to do: ${row.remedy}.`, ...state],
  };
}

function named(kind: "rule" | "caution", rows: readonly { id: string; text: string }[]): Page[] {
  const texts = new Map<string, string>();
  for (const { id, text } of rows) if (!texts.has(id)) texts.set(id, text);
  const say =
    kind === "rule"
      ? "A settings file that breaks it is refused, by this tool and by the controller."
      : "A caution never blocks. It is common practice, with no source; what the makers of the parts say comes first.";
  return [...texts].map(([name, title]) => ({ name, kind, title, paragraphs: [say] }));
}

/** All pages. Where a rule and a caution share a name both are there. */
export function allPages(): Page[] {
  return [
    ...(Object.keys(ERRORS) as ErrorCode[]).map(errorPage),
    ...INTERLOCKS.map(interlockPage),
    ...named("rule", RULES),
    ...named("caution", CAUTIONS),
  ];
}

/** Pages of a name, in any letter case; empty when there is none. */
export function pagesFor(name: string): Page[] {
  return allPages().filter((page) => page.name.toLowerCase() === name.toLowerCase());
}
