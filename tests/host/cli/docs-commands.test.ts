// Every command that any page names: understood; those of the pages for builder, tuner and tester and of the recovery cards, but for long ones, run on a practice board.
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { Command } from "@commander-js/extra-typings";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { buildProgram } from "#host/cli/program.ts";
import { Session } from "#host/cli/session.ts";
import { EXIT } from "#host/errors/exit.ts";
import { wordsOf } from "../../support/commands.ts";
import { sample } from "../../support/effort.ts";
import { commandsOf, ELSEWHERE, LONG, NEEDS_WORDS, OTHER_PAGES, PAGES } from "../../support/page-commands.ts";
import { PracticeWorld } from "./bench/practice/practice-world.ts";

const commands = PAGES.flatMap((page) => commandsOf(page).map((line) => [page, line] as const));
const others = OTHER_PAGES.flatMap((page) => commandsOf(page).map((line) => [page, line] as const));

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
  test.each(["README.md", ...PAGES])("%s lets npx ask no registry for the tool", (page) => {
    expect(readFileSync(page, "utf8")).not.toMatch(/npx (?!--offline )[^`]*headgate/);
  });

  test("are found at all, on every page", () => {
    expect(new Set(commands.map(([page]) => page))).toEqual(new Set(PAGES));
    expect(commands.length).toBeGreaterThan(70);
  });

  test.each(commands)("%s: %s is understood", async (_, line) => {
    await expect(understood(line)).resolves.toBeUndefined();
  });

  test("those of every other page are understood", async () => {
    const wrong: string[] = [];
    const known = new Map(commands.map(([, line]) => [line, true]));
    for (const [page, line] of others) {
      if (known.has(line) || NEEDS_WORDS.test(line)) continue;
      known.set(line, true);
      await understood(line).catch((thrown: unknown) => wrong.push(`${page}: ${line}: ${thrown}`));
    }
    expect(wrong).toEqual([]);
    expect(known.size).toBeGreaterThan(commands.length);
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
      if (NEEDS_WORDS.test(line)) continue;
      const { exit, stderr } = await world.run(...wordsOf(line));
      const asks = stderr.includes("confirmation needed");
      if (exit === EXIT.bug || (exit === EXIT.usage && !asks && !/(is there|exists) already/.test(stderr)))
        wrong.push(`${line}: ${exit} ${stderr}`);
    }
    expect(wrong.join("\n")).toBe("");
  });
});
