// The commands of the pages that take long: each as it is written, or a shorter one in its place that has the same options and says why.
import { readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import { PracticeWorld } from "../host/cli/bench/practice/practice-world.ts";
import { wordsOf } from "../support/commands.ts";
import { commandsOf, LONG, NEEDS_WORDS, PAGES } from "../support/page-commands.ts";

/** What a shorter command has in place of the long one's words, and why it stands for it. */
const INSTEAD: readonly (readonly [RegExp, string, string])[] = [
  [
    /^headgate prove(?! --only)(.*)$/,
    "headgate prove$1 --only RELAY",
    "the whole set takes a minute; tests of the bench prove every row",
  ],
  [
    /--only DRIVER RELAY/,
    "--only RELAY",
    "DRIVER has the most faults of all, and takes as long as all others",
  ],
  [/--runs \d+/, "--runs 20", "a part of 20 runs is one run, and a run is like any other"],
  [/^(headgate spread my\.yaml --car car\.yaml)$/, "$1 --runs 2", "200 runs are 100 times two"],
  [/^(headgate spread my.*)$/, "$1 --until eighth", "the same until half way"],
  [
    /^(headgate rehearse.* --board)$/,
    "$1 --until 3s",
    "the image drives the whole way in the main job, npm start",
  ],
  [/^headgate watch(.*)$/, "headgate watch$1 --seconds 1", "it goes on until it is stopped"],
  [
    /^(headgate plan .*)--settings my\.yaml/,
    "$1--settings planned.yaml",
    "in docs/learn.md a plan wrote that file",
  ],
  [/--seconds 60/, "--seconds 1", "a minute is 60 times a second"],
  [/--volume \S+/, "--volume .", "the practice board has a folder of its own"],
];
/** Run by tests of their own. */
const OWN_TESTS: Readonly<Record<string, string>> = {
  "headgate board": "tests/ci/practice.ci.ts starts it in a pseudo-terminal",
  "headgate tour": "the main job makes the whole tour",
  "headgate check my.yaml --watch": "tests/host/cli/trackside.test.ts saves files while it watches",
  "headgate plan car.yaml --prove-ramp": "tests/host/cli/plan/prove-ramp.test.ts",
};
/** What a command writes for one that comes after it. Anything else is taken away, for no command writes over a file. */
const STAY = new Set(["run.hgrun", "part-3.json"]);

const shortened = (line: string): string =>
  INSTEAD.reduce((text, [pattern, words]) => text.replace(pattern, words), line);
const orderOf = (line: string): number => (/replay run|spread join/.test(line) ? 1 : 0);

const long = [...new Set([...PAGES, "docs/plan.md", "docs/learn.md"].flatMap((page) => commandsOf(page)))]
  .filter((line) => LONG.test(line) && !NEEDS_WORDS.test(line))
  .sort((a, b) => orderOf(a) - orderOf(b));
const world = new PracticeWorld(true);

beforeAll(async () => {
  await world.open();
  const demo = (name: string, from: string): void =>
    writeFileSync(join(world.folder, name), readFileSync(`host/demo/${from}`));
  demo("my.yaml", "street-coupe.yaml");
  demo("new.yaml", "street-coupe.yaml");
  demo("car.yaml", "street-coupe-car.yaml");
  for (const words of ["arm on", "run 3s", "arm off"]) await world.run("board", ...words.split(" "));
  for (const name of readdirSync(world.folder)) STAY.add(name);
}, 120_000);
afterAll(() => world.close());

test("every test that a command is left to is there", () => {
  for (const line of Object.keys(OWN_TESTS)) expect(long).toContain(line);
  expect(long.length).toBeGreaterThan(25);
});

test.each(long.filter((line) => !(line in OWN_TESTS)))("%s", { timeout: 120_000 }, async (line) => {
  const { exit, stdout, stderr } = await world.run(...wordsOf(shortened(line)));
  expect(exit, `${stdout}${stderr}`).toBe(0);
  for (const name of readdirSync(world.folder))
    if (!STAY.has(name)) rmSync(join(world.folder, name), { recursive: true });
});
