// The commands that pages name, with something real in place of what stands for the reader's own, and which of them take long.
import { readdirSync } from "node:fs";
import { commandsIn, commandsWithin } from "./commands.ts";

/** Pages that a builder, a tuner and a tester work by. */
export const PAGES = [
  "README.md",
  ...["builder", "tuner", "tester", "recovery"].map((page) => `docs/${page}.md`),
];

const pagesIn = (folder: string): string[] =>
  readdirSync(folder)
    .filter((name) => name.endsWith(".md") && name !== "CHANGELOG.md")
    .map((name) => `${folder}/${name}`);

/** All others; the change log speaks of what was. */
export const OTHER_PAGES = ["DEVELOPERS.md", ...pagesIn("docs"), ...pagesIn("hardware-notes")].filter(
  (page) => !PAGES.includes(page),
);

/** What stands in a page in place of something of the reader's own. */
const OWN: readonly (readonly [RegExp, string])[] = [
  [/--port NAME/, "--port practice"],
  [/\bRUN\b/, "1"],
  [/\bHASH\b/, "0b1bd1c1"],
  [/\b(CODE|NAME|ID)\b/, "SENSOR"],
  [/\bTOPIC\b/, "recovery"],
  [/\bCAR\.yaml\b/, "car.yaml"],
  [/\bOUT\.yaml\b/, "out.yaml"],
  [/\bFILE\b/, "named.yaml"],
  [/\bFOLDER\b/, "."],
  [/"?\$SLURM_ARRAY_TASK_ID\/20"?|\{\}\/20/, "3/20"],
  [/part-"?\$SLURM_ARRAY_TASK_ID"?\.json|part-\{\}\.json|part-\*\.json/, "part-3.json"],
  [/ ::: .*/, ""],
];

/** Commands of a page, each once. One of a single word is a name in a sentence; brackets and dots leave something open. */
export function commandsOf(page: string): string[] {
  const all = [...commandsIn(page), ...commandsWithin(page)].map((line) =>
    OWN.reduce((text, [pattern, words]) => text.replace(new RegExp(pattern, "g"), words), line),
  );
  return [...new Set(all)].filter((line) => !/\.\.\.|--help|explain \w+ that/.test(line)).sort();
}

/** Takes minutes, or goes on until it is stopped: tests/ci/page-commands.ci.ts runs them. */
export const LONG =
  /^headgate (prove|rehearse|spread|plan|board$|watch|replay|start|tour)|--watch|board --|--seconds/;
/** Named in a sentence without the words that it needs. */
export const NEEDS_WORDS =
  /^headgate (diff|plan|pull|check|load|spread|rehearse|replay|plan calibrate|learn --write)$/;
/** Asks or looks for what a practice board does not have; its own tests give it that. */
export const ELSEWHERE = /^headgate (flash|COMMAND)|--volume/;
