// Every command that the pages for builder, tuner and tester and the recovery cards name: understood, and, but for long ones, run on a practice board.
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { Command } from "@commander-js/extra-typings";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { buildProgram } from "#host/cli/program.ts";
import { Session } from "#host/cli/session.ts";
import { EXIT } from "#host/errors/exit.ts";
import { commandsIn, commandsWithin, wordsOf } from "../../support/commands.ts";
import { sample } from "../../support/effort.ts";
import { PracticeWorld } from "./bench/practice/practice-world.ts";

const PAGES = ["README.md", ...["builder", "tuner", "tester", "recovery"].map((page) => `docs/${page}.md`)];

/** What stands in a page in place of something of the reader's own. */
const OWN: readonly (readonly [RegExp, string])[] = [
  [/--port NAME/, "--port practice"],
  [/\bRUN\b/, "1"],
  [/\bHASH\b/, "0b1bd1c1"],
  [/\b(CODE|NAME)\b/, "SENSOR"],
  [/\bTOPIC\b/, "recovery"],
  [/\b(?:FILE|CAR\.yaml|OUT\.yaml)\b/, "named.yaml"],
  [/\bFOLDER\b/, "."],
  [/"?\$SLURM_ARRAY_TASK_ID\/20"?|\{\}\/20/, "3/20"],
  [/part-"?\$SLURM_ARRAY_TASK_ID"?\.json|part-\{\}\.json|part-\*\.json/, "part-3.json"],
  [/ ::: .*/, ""],
];

/** Commands of a page, each once. One of a single word is a name in a sentence; brackets and dots leave something open. */
function commandsOf(page: string): string[] {
  const all = [...commandsIn(page), ...commandsWithin(page)].map((line) =>
    OWN.reduce((text, [pattern, words]) => text.replace(new RegExp(pattern, "g"), words), line),
  );
  return [...new Set(all)].filter((line) => !/\.\.\.|--help|explain \w+ that/.test(line)).sort();
}

const commands = PAGES.flatMap((page) => commandsOf(page).map((line) => [page, line] as const));

/** Takes minutes, or goes on until it is stopped: run elsewhere with fewer runs or less time (tests/ci/packed.ci.ts). */
const LONG =
  /^headgate (prove|rehearse|spread|plan|board$|watch|replay|start|tour)|--watch|board --|--seconds/;
/** Named alone in a sentence. */
const NEEDS_WORDS = /^headgate (diff|plan|pull|check|load)$/;
/** Asks or looks for what a practice board does not have; its own tests give it that. */
const ELSEWHERE = /^headgate (flash|COMMAND)|--volume/;

const nothing = { write: () => true };

/** Fails unless the command line is understood as a whole. Nothing is done. */
async function understood(line: string): Promise<void> {
  const session = new Session({ stdin: {}, stdout: nothing, stderr: nothing, env: {} } as never);
  const program = buildProgram(session);
  const words = wordsOf(line);
  // The name of a command alone speaks of it, also where it would want arguments.
  if (words.length === 1) {
    expect(program.commands.map((one) => one.name())).toContain(words[0]);
    return;
  }
  const quiet = (command: Command): void => {
    command.action(() => {});
    for (const one of command.commands) quiet(one as unknown as Command);
  };
  for (const command of program.commands) quiet(command as unknown as Command);
  await program.parseAsync(words, { from: "user" });
}

describe("commands of the pages", () => {
  test("are found at all, on every page", () => {
    expect(new Set(commands.map(([page]) => page))).toEqual(new Set(PAGES));
    expect(commands.length).toBeGreaterThan(70);
  });

  test.each(commands)("%s: %s is understood", async (_, line) => {
    await expect(understood(line)).resolves.toBeUndefined();
  });
});

describe("run on a practice board", () => {
  const world = new PracticeWorld(true);
  beforeAll(async () => {
    await world.open();
    for (const name of ["my.yaml", "named.yaml"])
      writeFileSync(join(world.folder, name), readFileSync("host/demo/street-coupe.yaml"));
  });
  afterAll(() => world.close());

  const all = [...new Set(commands.map(([, line]) => line))].filter(
    (line) => !LONG.test(line) && !ELSEWHERE.test(line),
  );
  const short = sample(all, 3);

  test("none is a mistake of usage, and none fails in the tool itself", async () => {
    expect(all.length).toBeGreaterThan(20);
    const wrong: string[] = [];
    for (const line of short) {
      if (wordsOf(line).length === 1 && NEEDS_WORDS.test(line)) continue;
      const { exit, stderr } = await world.run(...wordsOf(line));
      const asks = stderr.includes("confirmation needed");
      if (exit === EXIT.bug || (exit === EXIT.usage && !asks && !/(is there|exists) already/.test(stderr)))
        wrong.push(`${line}: ${exit} ${stderr}`);
    }
    expect(wrong.join("\n")).toBe("");
  });
});
