// The command line as a whole: usage mistakes, help, versions, explanations, and one JSON document whatever happens.
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { buildProgram } from "#host/cli/program.ts";
import { Session } from "#host/cli/session.ts";
import { TOOL_VERSION } from "#host/cli/version.ts";
import { ERRORS } from "#host/errors/codes.ts";
import { EXIT } from "#host/errors/exit.ts";
import { allPages } from "#host/errors/explain.ts";
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
    expect(ran.stderr).toContain("headgate --help");
  });

  test("a misspelt command gets its neighbour", async () => {
    expect((await new World().run("chekc")).stderr).toContain("check");
  });

  test("--json with a usage mistake is still one document", async () => {
    const ran = await new World().run("check", "--json", "--nonsense");
    expect(ran.json()).toMatchObject({ ok: false, error: { code: "usage", exit: 64 } });
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
      expect([page.name, page.title.length > 10]).toEqual([page.name, true]);
      expect(page.paragraphs.length).toBeGreaterThan(0);
    }
  });

  test("the exit codes of the error table are among those documented", () => {
    for (const { exit } of Object.values(ERRORS)) expect(Object.values(EXIT)).toContain(exit);
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
