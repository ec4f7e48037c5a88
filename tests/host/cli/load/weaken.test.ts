// Loads that protect less: shown first, in words, and asked for with a typed word or a flag of their own.
import { stripVTControlCharacters } from "node:util";
import { describe, expect, test } from "vitest";
import { OLD_ACTIVE } from "#host/cli/load/verdict.ts";
import { exampleDocument, PROTECTIONS } from "#host/settings/example.ts";
import { settingsBytes } from "#host/settings/hash.ts";
import { formatSettings } from "#host/settings/write.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { type Ran, World } from "../world.ts";

const FULL = exampleDocument(1, PROTECTIONS);
const TEXT = formatSettings(FULL);
const flat = (text: string): string => stripVTControlCharacters(text).replace(/\s+/g, " ");
const lastLine = (text: string): string => text.trimEnd().split("\n").at(-1)!;

/** A world with all protections on the device, and a file. */
function world(text: string, held: Document | null = FULL): World {
  const made = new World();
  made.device.state.settings = held === null ? undefined : [...settingsBytes(held)];
  made.write("car.yaml", text);
  return made;
}
const answered = (made: World, answer: string, ...args: string[]): Promise<Ran> => {
  made.terminal = true;
  made.answer = answer;
  return made.run("load", "car.yaml", ...args);
};
const isOld = (made: World): boolean =>
  Buffer.from(made.device.state.settings ?? []).equals(settingsBytes(FULL));

const LESS = formatSettings(exampleDocument(1, ["engine.jump", "throttle.position", "bottle"]));
const WIDER = TEXT.replace("close: 6700 rpm", "close: 6800 rpm");
const OTHER_PULSES = TEXT.replace("pulses: 2 pulses/rev", "pulses: 1 pulses/rev");
const OTHER_SENSOR = TEXT.replace("high: 10000 kPa gauge", "high: 9000 kPa gauge");

describe.each([
  [
    "an interlock lost",
    LESS,
    "fuel is left out (fuel pressure sensor of the wet stages); it no longer acts for FUEL-LOW",
  ],
  ["a window widened", WIDER, "windows.engine-speed.close goes from 6700 rpm to 6800 rpm, which allows more"],
  ["other pulses per turn", OTHER_PULSES, "engine.pulses goes from 2 pulses/rev to 1 pulses/rev"],
  ["another calibration", OTHER_SENSOR, "bottle.high goes from 10000 kPa gauge to 9000 kPa gauge"],
])("%s", (_, text, words) => {
  test("is said first; y is not enough, the word is", async () => {
    const made = world(text);
    const no = await answered(made, "y");
    expect([no.exit, lastLine(no.stdout), isOld(made)]).toEqual([1, OLD_ACTIVE, true]);
    const said = flat(no.stderr);
    expect(said).toContain(words);
    expect(said.indexOf(words)).toBeLessThan(said.search(/\d+ settings? differs?:/));
    expect((await answered(made, "weaken")).exit).toBe(0);
    expect(isOld(made)).toBe(false);
  });

  test("--yes alone does not load it where nobody can type; --yes --weaken does", async () => {
    const made = world(text);
    const ran = await made.run("load", "car.yaml", "--yes", "--json");
    expect(ran.exit).toBe(64);
    expect(ran.json()).toMatchObject({
      error: { code: "needs-answer", todo: expect.stringContaining("--weaken") },
    });
    expect(isOld(made)).toBe(true);
    const done = await made.run("load", "car.yaml", "--yes", "--weaken", "--json");
    expect(done.json()).toMatchObject({ ok: true });
    expect(done.json().weakened).not.toEqual([]);
  });
});

test("undo asks in the same way, and takes the same flag", async () => {
  const made = world(TEXT, exampleDocument(1));
  expect((await made.run("load", "car.yaml", "--yes")).exit).toBe(0);
  expect((await made.run("undo", "--yes")).exit).toBe(64);
  expect(isOld(made)).toBe(true);
  expect((await made.run("undo", "--yes", "--weaken")).exit).toBe(0);
  expect(isOld(made)).toBe(false);
});

test("on a screen undo says its port once, and breaks its question between words", async () => {
  const made = world(TEXT.replace("[1.5 s, 100 %]", "[0.1 s, 100 %]"), FULL);
  expect((await made.run("load", "car.yaml", "--yes")).exit).toBe(0);
  Object.assign(made, { terminal: true, answer: "y", columns: 60 });
  const { exit, stderr } = await made.run("undo");
  expect(exit).toBe(0);
  expect(stderr.match(/^using /gm)).toHaveLength(1);
  const asked = stripVTControlCharacters(stderr)
    .split(/\r?\n|\r/)
    .filter((line) => !line.includes("/"));
  for (const line of asked) expect(line.length).toBeLessThan(60);
  expect(flat(stderr)).toMatch(
    /Put back [0-9a-f]{8} \(kept \d{4}-\d\d-\d\d \d\d:\d\d:\d\d\) into board \w+\? \[y\/N\]/,
  );
});

test("another answer than the word is told apart from a no, with what to type", async () => {
  const { stderr } = await answered(world(LESS), "y");
  expect(flat(stderr)).toContain('the word weaken was not typed, but "y"; nothing was loaded');
  expect(flat(stderr)).toMatch(/do: .*type the whole word weaken, or give --weaken besides --yes/);
  expect(flat(stderr)).not.toContain("answered with no");
});

test.each([
  [80, 24],
  [40, 24],
  [80, 18],
])(
  "on a screen of %i columns and %i lines the changed ramp is on the screen of the question",
  async (columns, rows) => {
    const made = world(TEXT.replace("[1.5 s, 100 %]", "[0.1 s, 100 %]"), FULL);
    Object.assign(made, { columns, rows });
    const { stderr } = await answered(made, "no");
    const lines = stripVTControlCharacters(stderr.slice(0, stderr.indexOf("[y/N]"))).split("\n");
    const seen = lines.slice(-rows).join("\n");
    expect(seen).toContain("1 setting differs:");
    expect(seen).toMatch(/^100 % \|/m);
    expect(flat(seen)).toContain("controller [0 s, 30 %] [1.5 s, 100 %] file");
  },
);

test("more protection, and another ramp, ask for y alone", async () => {
  const more = world(TEXT.replace("close: 6700 rpm", "close: 6600 rpm"));
  expect((await answered(more, "y")).exit).toBe(0);
  const ramp = world(TEXT.replace("[1.5 s, 100 %]", "[0.1 s, 100 %]"));
  const ran = await answered(ramp, "y");
  expect(ran.exit).toBe(0);
  expect(flat(ran.stderr)).toContain(
    "stages.1.ramps.1 rises by 700 %/s from 0 s to 0.1 s; the rise limit of 400 %/s rules there, not the ramp",
  );
});

test("the first settings of a controller weaken nothing", async () => {
  expect((await answered(world(LESS, null), "y")).exit).toBe(0);
});

test("arm switch and bottle are named at that moment", async () => {
  expect(flat((await answered(world(WIDER), "no")).stderr)).toContain("arm switch off and the bottle shut");
});
