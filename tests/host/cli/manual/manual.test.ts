// Completion, manual page and help are made from the commands themselves: nothing is missing in them, and shells take them as they are.
import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { Command } from "@commander-js/extra-typings";
import { describe, expect, test } from "vitest";
import { completionScript, SHELLS, type Shell } from "#host/cli/manual/completion.ts";
import { TOPICS } from "#host/cli/manual/help-command.ts";
import { manualText, VARIABLES } from "#host/cli/manual/manual-text.ts";
import { type CommandNode, treeOf } from "#host/cli/manual/tree.ts";
import { buildProgram } from "#host/cli/program.ts";
import { Session } from "#host/cli/session.ts";
import { serialLibrary } from "#host/link/serial-line.ts";
import { World } from "../world.ts";

const nothing = { write: () => true };
const program = buildProgram(new Session({ stdin: {}, stdout: nothing, stderr: nothing, env: {} } as never));
const TREE = treeOf(program as unknown as Command);
const all = (node: CommandNode): CommandNode[] => [node, ...node.commands.flatMap(all)];
const scripts = (Object.keys(SHELLS) as Shell[]).map(
  (shell) => [shell, completionScript(shell, TREE)] as const,
);

/** What one bash offers after each of these lines of words. */
function offered(lines: readonly (readonly string[])[]): string[][] {
  const folder = mkdtempSync(join(tmpdir(), "headgate-test-"));
  writeFileSync(join(folder, "completion"), completionScript("bash", TREE));
  writeFileSync(join(folder, "my.yaml"), "");
  const quoted = (word: string): string => `'${word}'`;
  const asked = lines.map((words) => `ask headgate ${words.map(quoted).join(" ")}`);
  const ask =
    // biome-ignore lint/suspicious/noTemplateCurlyInString: these are the shell's
    'ask() { COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); _headgate; echo "${COMPREPLY[@]}"; }';
  const script = ["source ./completion", ask, ...asked].join("\n");
  const { stdout, stderr } = spawnSync("bash", ["-c", script], { cwd: folder, encoding: "utf8" });
  rmSync(folder, { recursive: true });
  expect(stderr).toBe("");
  return stdout.split("\n").map((line) => line.split(" "));
}

describe("completion", () => {
  test.each(scripts)("for %s names every command and every option", (shell, script) => {
    for (const { name, options, words } of all(TREE)) {
      expect(script).toContain(name);
      for (const { long } of options)
        expect(script, shell).toContain(shell === "fish" ? `-l ${long.slice(2)}` : long);
      for (const word of words) expect(script, shell).toContain(word);
    }
  });

  test("in a real bash it offers commands, verbs, options, their words, and files", () => {
    const asked: readonly (readonly [words: readonly string[], offered: readonly string[]])[] = [
      [["bo"], ["board"]],
      [["board", "wi"], ["wire"]],
      [
        ["board", "power", "o"],
        ["on", "off"],
      ],
      [["completion", "f"], ["fish"]],
      [
        ["new", "--preset", ""],
        ["demo", "bench"],
      ],
      [["load", "--ye"], ["--yes"]],
      [["check", "my"], ["my.yaml"]],
    ];
    const [first, ...found] = offered([[""], ...asked.map(([words]) => words)]);
    expect(found.slice(0, asked.length)).toEqual(asked.map(([, words]) => words));
    expect(first).toEqual(expect.arrayContaining(TREE.commands.map(({ name }) => name)));
  });

  test("text of a command cannot break out of its quotes", () => {
    const evil = new Command("headgate");
    evil.command("plan").description("a car's 'plan'; $(false) `false`").option("--it's", "one 'more'");
    for (const shell of Object.keys(SHELLS) as Shell[]) {
      const script = completionScript(shell, treeOf(evil as unknown as Command));
      if (shell === "bash") expect(spawnSync("bash", ["-nc", script]).status).toBe(0);
      if (shell === "fish") expect(script).toContain("'a car'\\''s '\\''plan'\\''; $(false) `false`'");
    }
  });

  test("the command prints it; another shell is a mistake of usage", async () => {
    const world = new World();
    expect((await world.run("completion", "zsh")).stdout).toMatch(/^#compdef headgate\n/);
    expect((await world.run("completion", "dash")).exit).toBe(64);
  });
});

describe("the manual page", () => {
  test("is that of the commands as they are (npm run generate writes it)", () => {
    expect(readFileSync("docs/headgate.1", "utf8")).toBe(manualText());
  });

  test("names every command, every option, every variable", () => {
    const page = manualText().replaceAll("\\-", "-");
    for (const { name, options } of TREE.commands) {
      expect(page).toContain(`.SS headgate ${name}`);
      for (const { long } of options) expect(page).toContain(long);
    }
    for (const [name] of VARIABLES) expect(page).toContain(name);
  });

  test("each line is a macro that man has, or text", () => {
    const macros = manualText().match(/^\.\S*/gm)!;
    expect([...new Set(macros)].sort()).toEqual([".PP", ".SH", ".SS", ".TH", ".TP", '.\\"']);
  });
});

describe("help", () => {
  test.each(Object.keys(TOPICS))(
    "on %s is a page of the package that fits the screen, but for code as it stands",
    async (topic) => {
      const world = new World();
      for (const columns of [80, 40]) {
        world.columns = columns;
        const words = TREE.commands.some(({ name }) => name === topic) ? [topic, "page"] : [topic];
        const { exit, stdout } = await world.run("help", ...words);
        const wide = stdout
          .split("\n")
          .filter((line) => line.length > columns && !line.startsWith("  ") && line.trim().includes(" ", 20));
        expect([
          exit,
          wide.filter((line) => line.split(" ").every((word) => word.length < columns / 2)),
        ]).toEqual([0, []]);
        expect(stdout).not.toMatch(/\]\(|\*\*|^\|/m);
      }
    },
  );

  test("on a command is its help; without a topic all topics; an unknown one is refused with the nearest", async () => {
    const world = new World();
    expect((await world.run("help", "load")).stdout).toContain("Usage: headgate load");
    expect((await world.run("help", "board", "wire")).stdout).toContain("Usage: headgate board wire");
    const overview = (await world.run("help")).stdout;
    for (const topic of Object.keys(TOPICS)) expect(overview).toContain(topic);
    const ran = await world.run("help", "recovry");
    expect([ran.exit, ran.stderr]).toEqual([64, expect.stringContaining("did you mean recovery?")]);
  });
});

test("the recovery cards print: a card for each, three steps on it, together on a sheet, nothing loaded", async () => {
  const world = new World();
  expect((await world.run("help", "recovery", "--html", "cards.html")).exit).toBe(0);
  const page = world.read("cards.html");
  const cards = page.split("<section>").slice(1);
  expect(cards).toHaveLength(5);
  for (const card of cards) expect(card.match(/<li>/g), card.slice(0, 60)).toHaveLength(3);
  expect(page).toMatch(/section \{[^}]*break-inside: avoid;/);
  expect(page).toContain(
    "<li><code>headgate undo</code> puts back what was there before, after a question.</li>",
  );
  expect(page).not.toMatch(/<script|src=|href=|url\(|`/);
  expect((await world.run("help", "recovery", "--html", "cards.html")).exit).toBe(64);
});

test("a system that the serial binding was not built for is told of as such", async () => {
  const load = () => Promise.reject(new Error("No native build was found"));
  await expect(serialLibrary(load)).rejects.toMatchObject({ code: "no-serial-binding", exit: 69 });
});
