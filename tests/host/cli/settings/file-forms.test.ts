// Files that are no settings files, each with a message of its own; and nothing that a terminal would obey comes out of one.
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fc, test as property } from "@fast-check/vitest";
import { describe, expect, test } from "vitest";
import { runFileBytes } from "#host/logbook/run-file/run-file.ts";
import { exampleDocument, PROTECTIONS } from "#host/settings/example.ts";
import { formatSettings } from "#host/settings/write.ts";
import { runs } from "../../../support/effort.ts";
import { World } from "../world.ts";

const GOOD = formatSettings(exampleDocument(2, PROTECTIONS));

/** What `check` says of these bytes. */
async function said(bytes: Uint8Array | string): Promise<{ exit: number; text: string }> {
  const world = new World();
  writeFileSync(join(world.folder, "my.yaml"), bytes);
  const { exit, stdout, stderr } = await world.run("check", "my.yaml");
  return { exit, text: `${stdout}${stderr}`.replace(/\s+/g, " ") };
}

const CAR = readFileSync(new URL("../../../../host/demo/street-coupe-car.yaml", import.meta.url));
const RUN = runFileBytes({ pages: [new Uint8Array(256)] });

describe("a file of another kind is called by its name, with the command that reads it", () => {
  test.each([
    ["load", "car file", CAR, "is a car file; this command reads a settings file", "headgate plan x.file"],
    ["check", "car file", CAR, "is a car file", "headgate plan x.file"],
    ["load", "run file", RUN, "is a run file", "headgate review x.file"],
    ["load", "empty file", "", "x.file is empty", "headgate new FILE"],
    ["check", "file of comments", "# settings\n\n  # none yet\n", "x.file is empty", "headgate new FILE"],
    ["load", "page", "<!doctype html>\n<p>", "is a page for a browser", "open it in a browser"],
    ["load", "image", Buffer.from("UF2\nWQ]\u009e", "latin1"), "is an image", "headgate flash"],
    [
      "plan",
      "settings file",
      GOOD,
      "is a settings file; this command reads a car file",
      "headgate load x.file",
    ],
    ["plan", "empty file", "", "x.file is empty", "docs/plan.md"],
    [
      "review",
      "settings file",
      GOOD,
      "is a settings file; this command reads a run file",
      "headgate load x.file",
    ],
  ])("%s of a %s", async (command, _, bytes, what, todo) => {
    const world = new World();
    writeFileSync(join(world.folder, "x.file"), bytes);
    const { exit, stdout, stderr } = await world.run(command, "x.file");
    const text = `${stdout}${stderr}`.replace(/\s+/g, " ");
    expect(exit).toBe(65);
    expect(text).toContain(what);
    expect(text).toContain(todo);
    expect(text).not.toMatch(/error|caution/);
  });
});

describe("a file", () => {
  test.each([
    ["with a byte order mark is read as any other", `\ufeff${GOOD}`, 0, "0 errors"],
    ["with Windows line ends too", GOOD.replaceAll("\n", "\r\n"), 0, "0 errors"],
    ["in UTF-16", Buffer.from(`\ufeff${GOOD}`, "utf16le"), 65, "this is UTF-16 text"],
    ["in UTF-16 without a mark", Buffer.from(GOOD, "utf16le"), 65, "this is UTF-16 text"],
    [
      "with bytes of another encoding",
      Buffer.concat([Buffer.from("# a\n# b"), Buffer.of(0xe4)]),
      65,
      "line 2 holds bytes that are not UTF-8",
    ],
    [
      "that is a program",
      Buffer.concat([Buffer.from("\u007fELF"), Buffer.alloc(40)]),
      65,
      "no text but a program",
    ],
    ["of 40 MB", Buffer.alloc(40e6, "a: 1\n"), 65, "has 40 MB"],
    [
      "with a decimal comma",
      GOOD.replace(/lowest: [\d.]+ V/, "lowest: 11,5 V"),
      65,
      "has a comma in its number",
    ],
    ["with a foreign tag", GOOD.replace("pulses: ", "pulses: !mm "), 65, "a tag, which begins with !"],
    ["with a second document", `${GOOD}---\na: 1\n`, 65, "a second document begins here"],
    ["with a tab", GOOD.replace(/^ {2}pulses/m, "\tpulses"), 65, "a tab indents this line"],
    ["with a key twice", `${GOOD}version: 4\n`, 65, "this key stands twice"],
  ])("%s", async (_, bytes, exit, words) => {
    expect(await said(bytes)).toMatchObject({ exit, text: expect.stringContaining(words) });
  });

  test.each([
    ["file-encoding", Buffer.of(0xc3)],
    ["wrong-kind", CAR],
    ["file-too-large", Buffer.alloc(2e6, 32)],
  ])("%s is its code in JSON", async (code, bytes) => {
    const world = new World();
    writeFileSync(join(world.folder, "my.yaml"), bytes);
    expect((await world.run("check", "my.yaml", "--json")).json()).toMatchObject({
      ok: false,
      error: { code },
    });
  });

  test("of megabytes that the tool itself wrote is read: parts of a spread grow with their runs", async () => {
    const world = new World();
    world.write("part.json", `{}${" ".repeat(2e6)}`);
    const ran = await world.run("spread", "join", "part.json", "--json");
    expect(ran.json()).toMatchObject({ error: { code: "bad-spread" } });
  });

  test("that is a folder, and a folder that is missing, are named as such", async () => {
    const world = new World();
    mkdirSync(join(world.folder, "cars"));
    expect((await world.run("check", "cars")).stderr).toMatch(
      /cars: this is a folder\ndo: name a file within it/,
    );
    const ran = await world.run("new", "no/where.yaml");
    expect([ran.exit, ran.stderr]).toEqual([
      66,
      expect.stringContaining("no/where.yaml: there is no folder no"),
    ]);
  });
});

describe("bytes that a terminal would obey", () => {
  const part = fc.constantFrom(
    "\u001b[31m",
    "\u001b]0;owned\u0007",
    "\u0008",
    "\u009b2J",
    "rpm",
    "lowest",
    ": ",
    "\u202e",
    " 3 V",
  );
  property.prop([fc.array(part, { minLength: 1, maxLength: 6 })], runs(40))(
    "are never echoed out of keys, values, names or file names",
    async (parts) => {
      const text = parts.join("");
      const world = new World();
      const file = "my.yaml";
      writeFileSync(
        join(world.folder, file),
        GOOD.replace("pulses:", `${JSON.stringify(text)}: 1\n  pulses:`),
      );
      const runs = [
        await world.run("check", file),
        await world.run("load", file, "--yes"),
        await world.run("check", text),
        await world.run("explain", text),
        await world.run("help", text),
        await world.run("new", "--name", text),
        await world.run(text),
      ];
      for (const { stdout, stderr } of runs)
        expect(`${stdout}${stderr}`.replaceAll("\n", " ")).not.toMatch(/[\p{Cc}\p{Cf}]/u);
    },
  );
});
