// The command line as a whole: usage mistakes, help, versions, explanations, and one JSON document whatever happens.
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { buildProgram } from "#host/cli/program.ts";
import { Session } from "#host/cli/session.ts";
import { TOOL_VERSION } from "#host/cli/version.ts";
import { ERRORS } from "#host/errors/codes.ts";
import { EXIT } from "#host/errors/exit.ts";
import { allPages, pagesFor } from "#host/errors/explain.ts";
import { World } from "./world.ts";

const silent = { write: () => true };
const names = buildProgram(new Session({ stdout: silent, stderr: silent, env: {} } as never)).commands.map(
  (c) => c.name(),
);

describe("usage", () => {
  test.each([
    [[]],
    [["nonsense"]],
    [["check"]],
    [["check", "a", "b"]],
    [["ports", "--nonsense"]],
    [["new", "--stages", "9"]],
  ])("%j is exit 64 with a way on", async (args) => {
    const ran = await new World().run(...args);
    expect(ran).toMatchObject({ exit: 64, stdout: "" });
    const command = names.find((name) => name === args[0]);
    expect(ran.stderr).toContain(command ? `headgate ${command} --help` : "headgate --help");
  });

  test.each<[string[], { what: string; expected?: string }]>([
    [
      ["spread", "my.yaml", "--part", "4/3"],
      { what: '"4/3" cannot be used for --part', expected: "a part as I/N, such as 3/20" },
    ],
    [["rehearse", "--grip", "5"], { what: '--grip: "5" has no unit; expected a share (%)' }],
    [
      ["completion", "fisch"],
      {
        what: '"fisch" cannot be used for <shell>; did you mean fish?',
        expected: "one of bash, zsh, fish, powershell",
      },
    ],
    [
      ["new", "x.yaml", "--preset", "qqq"],
      { what: '"qqq" cannot be used for --preset', expected: "one of demo, bench" },
    ],
    [
      ["review", "a", "--align", "lanch"],
      {
        what: '"lanch" cannot be used for --align; did you mean launch?',
        expected: "one of launch, distance",
      },
    ],
    [
      ["new", "--stages", "9"],
      { what: '"9" cannot be used for --stages', expected: "a whole number from 1 to 4" },
    ],
    [["statsu"], { what: 'there is no command "statsu"; did you mean status?' }],
    [["ports", "--nonsense"], { what: "there is no option --nonsense here" }],
    [["status", "--shrt"], { what: "there is no option --shrt here; did you mean --short?" }],
    [["check"], { what: "<file> is missing: the command needs it" }],
    [["status", "--port"], { what: "--port needs a value after it", expected: "--port <name>" }],
    [["check", "a", "b"], { what: "2 words are given, and the command takes at most 1" }],
    [["ports", "a"], { what: "1 word is given, and the command takes none" }],
  ])("%j: what happened and what was expected, in the tool's own words", async (args, words) => {
    const [name = "", ...rest] = args;
    expect((await new World().run(name, "--json", ...rest)).json()).toMatchObject({ error: words });
  });

  test("no command, option or argument answers a mistake in the words of a library", async () => {
    const mistakes = names.flatMap((name) => [
      [name, "--no-such-option"],
      [name, "--port"],
      [name, "a", "b", "c", "d", "e", "f"],
      [name, "--stages", "x", "--until", "x", "--align", "x", "--preset", "x", "--seconds", "x"],
    ]);
    for (const args of mistakes.filter(([name]) => name !== "help" && name !== "explain")) {
      const { stderr, exit } = await new World().run(...args);
      if (exit !== 64) continue;
      expect(stderr, args.join(" ")).not.toMatch(
        /command-argument|is invalid|Allowed choices|unknown |argument missing|too many|\(Did you/,
      );
    }
  });

  test("a misspelt command gets its neighbour", async () => {
    expect((await new World().run("chekc")).stderr).toContain("check");
  });

  test("--json with a usage mistake is still one document", async () => {
    const ran = await new World().run("check", "--json", "--nonsense");
    expect(ran.json()).toMatchObject({ ok: false, error: { code: "usage", exit: 64 } });
  });

  test("a file name with control bytes is not sent on to the terminal", async () => {
    const ran = await new World().run("check", "a\u001b[2Jb\u0007.yaml");
    expect([ran.exit, ran.stderr.includes("\u001b"), ran.stderr.includes("\u0007")]).toEqual([
      66,
      false,
      false,
    ]);
  });

  test("nor are those in a settings file", async () => {
    const world = new World();
    world.write("car.yaml", 'version: 4\nengine: {pulses: "\\e[2J\u202e2", no\u009bne: 1}\n');
    const ran = await world.run("check", "car.yaml");
    expect(ran.exit).toBe(65);
    for (const byte of ["\u001b", "\u009b", "\u202e"])
      expect(`${ran.stdout}${ran.stderr}`.includes(byte)).toBe(false);
  });

  test("no stack trace without --debug", async () => {
    expect((await new World().run("check", "nothing")).stderr).not.toMatch(/\bat .*:\d+:\d+/);
    expect((await new World().run("check", "nothing", "--debug")).stderr).toMatch(/\bat .*:\d+:\d+/);
  });
});

describe("help", () => {
  test.each(["", ...names])("headgate %s --help: exit 0, on stdout, in 80 columns", async (name) => {
    const ran = await new World().run(...(name === "" ? [] : [name]), "--help");
    expect(ran).toMatchObject({ exit: 0, stderr: "" });
    expect(ran.stdout).toContain("Usage: headgate");
    for (const line of ran.stdout.split("\n")) expect(line.length).toBeLessThanOrEqual(80);
  });

  test("every command has --json and --debug", () => {
    const program = buildProgram(new Session({ stdout: silent, stderr: silent, env: {} } as never));
    for (const command of program.commands)
      expect([command.name(), ...command.options.map((o) => o.long)]).toEqual(
        expect.arrayContaining(["--json", "--debug"]),
      );
  });

  test("the version is that of the package", async () => {
    const { version } = JSON.parse(readFileSync("package.json", "utf8")) as { version: string };
    expect(TOOL_VERSION).toBe(version);
    expect((await new World().run("--version")).stdout.trim()).toBe(version);
  });
});

describe("explain", () => {
  test("every page has a title and something to do or to know", async () => {
    for (const page of allPages()) {
      expect([page.name, page.title.length >= 10]).toEqual([page.name, true]);
      expect(page.paragraphs.length).toBeGreaterThan(0);
    }
  });

  test("the exit codes of the error table are among those documented", () => {
    for (const { exit } of Object.values(ERRORS)) expect(Object.values(EXIT)).toContain(exit);
  });

  test("a name means one thing; settings, rules and places in lists have names too", () => {
    const names = allPages().map(({ name }) => name);
    expect(names.filter((name, n) => names.indexOf(name) !== n)).toEqual([]);
    for (const page of allPages()) expect(pagesFor(page.name)).toEqual([page]);
    expect(pagesFor("COOLANT")).toMatchObject([{ kind: "interlock" }]);
    expect(pagesFor("coolant")).toMatchObject([{ kind: "setting" }]);
    expect(pagesFor("rev-limiter")).toMatchObject([{ kind: "setting", name: "engine.rev-limiter" }]);
    expect(pagesFor("stages.2.ramps.1.over")).toMatchObject([{ name: "stages.N.ramps.N.over" }]);
    expect(pagesFor("window-order")).toMatchObject([{ kind: "rule" }]);
  });

  test("a page of a setting gives its limits, an example and the rules that name it", async () => {
    const { stdout } = await new World().run("explain", "windows.engine-speed.open");
    expect(stdout).toContain("2000 rpm to 14000 rpm, for example 3500 rpm");
    expect(stdout.replace(/\s+/g, " ")).toContain("lowest-speed");
  });

  test("a name that ends several settings lists them", async () => {
    const { exit, stdout } = await new World().run("explain", "plausible-low");
    expect(exit).toBe(0);
    expect(stdout).toMatch(/"plausible-low" can mean \d+ things/);
    expect(stdout).toContain("bottle.plausible-low");
  });

  test("the list cuts no sentence; one kind alone can be listed", async () => {
    const flat = (text: string): string => text.replace(/\s+/g, " ");
    const all = flat((await new World().run("explain")).stdout);
    for (const { title } of allPages()) expect(all).toContain(flat(title));
    const rules = (await new World().run("explain", "rules", "--json")).json() as {
      pages: { kind: string }[];
    };
    expect(new Set(rules.pages.map(({ kind }) => kind))).toEqual(new Set(["rule"]));
  });

  test("prints a page, in any letter case; lists all; says the nearest name", async () => {
    const world = new World();
    expect((await world.run("explain", "Rpm-Lost")).stdout).toContain("RPM-LOST (interlock)");
    expect((await world.run("explain", "link-lost", "--json")).json()).toMatchObject({
      pages: [{ name: "link-lost" }],
    });
    expect((await world.run("explain")).stdout).toContain("port-busy");
    const unknown = await world.run("explain", "link-lots");
    expect(unknown).toMatchObject({ exit: 64 });
    expect(unknown.stderr).toContain("link-lost");
  });
});
