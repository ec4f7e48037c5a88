// The long form of every name that a message can mention: error codes, interlocks, rules, cautions and settings, offline.

import { longestTime, REACTIONS } from "#shared-schema/model/interlock-text.ts";
import { INTERLOCKS, type Interlock } from "#shared-schema/model/interlocks.ts";
import { unhandled } from "#shared-schema/model/unhandled.ts";
import { RULES, type Rule } from "#shared-schema/rules/rules.ts";
import { CAUTIONS } from "#shared-schema/rules/settings-cautions.ts";
import { ENTRIES, type Entry, keysOf, written } from "#shared-schema/settings/entries.ts";
import type { SettingNode } from "#shared-schema/settings/table.ts";
import { ERRORS, type ErrorCode } from "./codes.ts";

/** What a page can be about. */
export const KINDS = ["error", "interlock", "rule", "caution", "setting"] as const;

/** One page. */
export interface Page {
  readonly name: string;
  readonly kind: (typeof KINDS)[number];
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
  const enabledBy = row.enabledBy.map(keysOf).join(", ");
  return {
    name: row.id,
    kind: "interlock",
    title: row.cause,
    paragraphs: [
      `Reaction: ${REACTIONS[row.reaction]}.${row.lasting ? ` Where the cause above says that it trips: ${REACTIONS[row.lasting]}.` : ""}`,
      within,
      enabledBy === ""
        ? "It is always on."
        : `It is on where the settings have one of these, and its limits stand there: ${enabledBy}.`,
      `What to do: ${row.remedy}.`,
      ...(row.beforeFlow
        ? [`While nothing has flowed it means: ${row.beforeFlow.cause}. Then: ${row.beforeFlow.remedy}.`]
        : []),
    ],
  };
}

const RULE_SAYS = "A settings file that breaks it is refused, by this tool and by the controller.";
const CAUTION_SAYS =
  "A caution never blocks. It is common practice, with no source; what the makers of the parts say comes first.";

/** A page for each id; one that is said of several settings says each of its sentences once. */
function named(kind: "rule" | "caution", rows: readonly Rule[]): Page[] {
  const pages = new Map<string, { texts: Set<string>; keys: Set<string> }>();
  for (const { id, text, blame } of rows) {
    const page = pages.get(id) ?? { texts: new Set(), keys: new Set() };
    pages.set(id, page);
    page.texts.add(text);
    page.keys.add(keysOf(blame));
  }
  return [...pages].map(([name, { texts, keys }]) => {
    const [title = "", ...more] = texts;
    const about = `It can name: ${[...keys].join(", ")}.`;
    return { name, kind, title, paragraphs: [...more, kind === "rule" ? RULE_SAYS : CAUTION_SAYS, about] };
  });
}

function takes(node: SettingNode): string[] {
  switch (node.kind) {
    case "number":
      return [
        `It takes ${written(node.min, node)} to ${written(node.max, node)}, for example ${written(node.example, node)}.`,
        `Why these limits: ${node.reason}.`,
      ];
    case "choice":
      return [`It takes one of: ${node.options.join(", ")}; for example ${node.example}.`];
    case "group":
      return [node.optional ? "A group of settings that may be left out." : "A group of settings."];
    case "list":
    case "points":
      return [`A list of ${node.min} to ${node.max} entries.`];
    default:
      return unhandled(node);
  }
}

/** Rules that have a word to say on a setting, or on one within its group. */
function rulesOn(keys: string): string[] {
  const inIt = (blame: string): boolean => `${keysOf(blame)}.`.startsWith(`${keys}.`);
  const ids = new Set(RULES.filter(({ blame }) => inIt(blame)).map(({ id }) => id));
  return ids.size === 0 ? [] : [`Rules that can name it: ${[...ids].join(", ")}.`];
}

const settingPage = ({ node, keys }: Entry): Page => ({
  name: keys,
  kind: "setting",
  title: node.meaning,
  paragraphs: [...takes(node), ...rulesOn(keys)],
});

function makePages(): Page[] {
  return [
    ...(Object.keys(ERRORS) as ErrorCode[]).map(errorPage),
    ...INTERLOCKS.map(interlockPage),
    ...named("rule", RULES),
    ...named("caution", CAUTIONS),
    ...ENTRIES.map(settingPage),
  ];
}

/** Made once: each page of a setting looks through all rules. */
const PAGES: readonly Page[] = makePages();

/** All pages; no two have the same name. */
export const allPages = (): readonly Page[] => PAGES;

/** A place in a list as people write it, `stages.2.ramps.1`, is that of every entry. */
const general = (name: string): string => name.replace(/\.\d+(?=\.|$)/g, ".N");

/**
 * What a name means: the page of just this name; else those of it in another letter case; else settings whose path ends
 * with it. Empty when there is none.
 */
export function pagesFor(name: string): Page[] {
  const pages = allPages();
  const wanted = general(name);
  const same = pages.filter((page) => page.name === wanted);
  if (same.length > 0) return same;
  const folded = pages.filter((page) => page.name.toLowerCase() === wanted.toLowerCase());
  if (folded.length > 0) return folded;
  return pages.filter(
    ({ kind, name: full }) => kind === "setting" && full.endsWith(`.${wanted.toLowerCase()}`),
  );
}
