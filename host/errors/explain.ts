// The long form of every name that a message can mention: error codes, interlocks, rules and cautions, offline.

import { longestTime, REACTIONS } from "#shared-schema/model/interlock-text.ts";
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

function interlockPage(row: Interlock): Page {
  const within =
    row.withinUs === undefined
      ? "Nothing can be flowing when it acts."
      : `All solenoid pins are low within ${longestTime(row)}.`;
  return {
    name: row.id,
    kind: "interlock",
    title: row.cause,
    paragraphs: [`Reaction: ${REACTIONS[row.reaction]}.`, within, `What to do: ${row.remedy}.`],
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
