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

  test.each([
    [
      ["spread", "my.yaml", "--part", "4/3"],
      "option '--part <I/N>' argument '4/3' is invalid: enter a part as I/N, such as 3/20",
    ],
    [
      ["rehearse", "--grip", "5"],
      "option '--grip <share>' argument '5' is invalid: \"5\" has no unit; expected a share (%)",
    ],
  ])("%j: one sentence", async (args, what) => {
    expect((await new World().run(...args, "--json")).json()).toMatchObject({ error: { what } });
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
