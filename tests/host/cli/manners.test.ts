// Manners that every command has: one JSON document, no colour in a pipe or with NO_COLOR, nothing wider than the screen, stdin closed all along.
import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { PassThrough } from "node:stream";
import { describe, expect, test } from "vitest";
import { buildProgram } from "#host/cli/program.ts";
import { Session } from "#host/cli/session.ts";
import { exampleDocument } from "#host/settings/example.ts";
import { settingsBytes } from "#host/settings/hash.ts";
import { formatSettings } from "#host/settings/write.ts";
import { ALL, sample } from "../../support/effort.ts";
import { BoardWorld, dataOf, drive } from "./board-world.ts";
import { INFO } from "./flash/boot-disk.ts";
import { World } from "./world.ts";

/** A command that comes to an end by itself, and what its JSON document has beside its name and `ok`. */
type Case = readonly [words: readonly string[], keys: readonly string[]];

/** Against a model of a controller, in an order in which each has something to say. */
const ON_TWIN: readonly Case[] = [
  [["new", "fresh.yaml"], ["file"]],
  [
    ["check", "car.yaml"],
    ["file", "hash", "issues", "cautions", "migrated"],
  ],
  [["plan", "coupe.yaml"], []],
  [
    ["learn", "coupe.yaml", "--baseline", "shut.yaml", "--settings", "car.yaml"],
    ["car", "baseline"],
  ],
  [
    ["load", "car.yaml", "--yes"],
    ["file", "board", "hash", "before", "copy", "stored", "changes", "migrated"],
  ],
  [["history"], ["folder", "copies"]],
  [["diff", "car.yaml", "old.yaml"], ["changes"]],
  [["read"], ["board", "slot", "hash", "settings", "text"]],
  [["status"], ["device", "live"]],
  [["ports"], ["ports"]],
  [["doctor", "--seconds", "1"], []],
  [
    ["undo", "--yes"],
    ["board", "hash", "stored"],
  ],
  [["explain", "RPM-LOST"], []],
  [["board", "--tcp", "--seconds", "1"], []],
  [["prove", "--only", "LINK"], ["findings"]],
  [["help"], ["topics"]],
  [["help", "glossary"], []],
  [["completion", "bash"], ["script"]],
];

/** Against an emulated board that has a run in its log. */
const ON_BOARD: readonly Case[] = [
  [["runs"], ["board", "runs"]],
  [
    ["pull", "1", "--out", "run.csv"],
    ["run", "file"],
  ],
  [
    ["replay", "last"],
    ["run", "board", "from", "ticks", "sameRecords", "own"],
  ],
  [
    ["review", "last", "--html", "run.html"],
    ["runs", "page", "csv"],
  ],
  [
    ["flash", "--dry-run", "--volume", "disk"],
    ["dryRun", "image", "before", "volume"],
  ],
  [["erase", "--yes"], ["board"]],
];

/** Their documents and pages are looked at in tests of their own: a document a line, and runs that take a while. */
const ELSEWHERE: readonly string[] = ["watch", "rehearse", "spread", "tour"];

/** Commands whose text is a file on stdout, wider than any screen where it must be. */
const FILES: readonly string[] = ["read", "completion"];

const CAR = `name: Invented coupe
engine: {power: 220 kW, power-at: 6000 rpm, rev-limiter: 6800 rpm, cylinders: 6}
car: {mass: 1500 kg, driven: rear}
limits: {rods: 600 Nm}
goal: {added-power: 100 hp, stages: 1}
tyres: {reserve: 10 %}
`;

function twinWorld(): World {
  const made = new World();
  made.device.state.settings = [...settingsBytes(exampleDocument(1))];
  made.write("old.yaml", formatSettings(exampleDocument(1)));
  made.write("car.yaml", formatSettings(exampleDocument(2)).replace("[0 s, 30 %]", "[0.3 s, 20 %]"));
  made.write("coupe.yaml", CAR);
  return made;
}

/** What a board keeps that was loaded and has driven. */
let driven: Uint8Array | undefined;

async function drivenFlash(): Promise<Uint8Array> {
  const made = new BoardWorld();
  writeFileSync(join(made.folder, "car.yaml"), formatSettings(exampleDocument(1)));
  expect((await made.run("load", "car.yaml", "--yes")).exit).toBe(0);
  drive(made, exampleDocument(1));
  return dataOf(made);
}

async function boardWorld(): Promise<BoardWorld> {
  driven ??= await drivenFlash();
  const made = new BoardWorld(undefined, undefined, {}, driven);
  writeFileSync(join(made.folder, "car.yaml"), formatSettings(exampleDocument(1)));
  mkdirSync(join(made.folder, "disk"));
  writeFileSync(join(made.folder, "disk", "INFO_UF2.TXT"), INFO);
  return made;
}

describe.each([
  ["a model of a controller", ON_TWIN, twinWorld],
  ["an emulated board", ON_BOARD, boardWorld],
] as const)("with %s", (_, cases, make) => {
  test("--json is one document for each command: its name, whether it went well, and what it is about", async () => {
    const made = await make();
    for (const [words, keys] of cases) {
      const ran = await made.run(...words, "--json");
      const { command, ok, ...rest } = ran.json();
      expect([command, ok]).toEqual([words[0], ran.exit === 0]);
      expect(Object.keys(rest)).toEqual(expect.arrayContaining([...keys]));
      if (ran.exit > 1)
        expect(rest.error).toMatchObject({ code: expect.any(String), todo: expect.any(String) });
    }
  });

  test.each(ALL ? [40, 80] : [40])(
    "text fits %i columns, without colour, also on stderr",
    async (columns) => {
      const made = await make();
      made.columns = columns;
      for (const [words] of cases) {
        const ran = await made.run(...words);
        if (FILES.includes(words[0]!)) continue;
        for (const line of `${ran.stdout}\n${ran.stderr}`.split("\n")) {
          expect(line).not.toContain("\u001b");
          const fits = line.length <= columns || longestWord(line) > columns / 3;
          expect([words[0], line, fits]).toEqual([words[0], line, true]);
        }
      }
    },
  );

  test("a terminal with NO_COLOR shows none", async () => {
    const made = await make();
    made.terminal = true;
    made.env = { NO_COLOR: "1" };
    for (const [words] of sample<Case>(cases, 3)) {
      const { stdout, stderr } = await made.run(...words);
      expect([words[0], coloured(`${stdout}${stderr}`)]).toEqual([words[0], false]);
    }
  });
});

test("no command is left out", () => {
  const stdin = new PassThrough();
  const program = buildProgram(new Session({ stdin, stdout: stdin, stderr: stdin, env: {} } as never));
  const tried = new Set([...ON_TWIN, ...ON_BOARD].map(([words]) => words[0]));
  expect(program.commands.map((command) => command.name()).sort()).toEqual([...tried, ...ELSEWHERE].sort());
});

/** Is there an escape sequence that sets a colour or a weight? Others move the cursor. */
const coloured = (text: string): boolean =>
  text
    .split("\u001b[")
    .slice(1)
    .some((rest) => /^[0-9;]*m/.test(rest));

/** Paths, hashes and file lines are not broken. */
const longestWord = (line: string): number => Math.max(...line.split(/\s+/).map((word) => word.length));
