// What protects less: every setting says how it protects, every interlock that is lost is named, and nothing is said of what stays.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { checkSettings } from "#host/settings/check.ts";
import { PAST_LAYOUTS } from "#host/settings/past-layouts.ts";
import { weakenings } from "#host/settings/protection.ts";
import { GUARDS, guardOf } from "#host/settings/protection-table.ts";
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";
import { ENTRIES } from "#shared-schema/settings/entries.ts";
import { type Document, fromBytes, pack, unpack } from "#shared-schema/settings/pack.ts";
import { WORDS, wordAt } from "#shared-schema/settings/words.ts";
import { FULL_DOCUMENT, legalDocument } from "./documents.ts";
import { pastBlock, pastText } from "./past-files.ts";

const FULL = pack(FULL_DOCUMENT);

/** The full document with one word changed. */
const withWord = (path: string, value: number): Document => {
  const words = Uint16Array.from(FULL);
  words[wordAt(path).index] = value;
  return unpack(words);
};
/** A word of an entry: of the first place of every list. */
const pathOf = (entry: string): string => entry.replaceAll(".N", ".0");
const said = (before: Document, after: Document): string[] =>
  weakenings(before, after).map(({ kind, field }) => `${kind} ${field}`);
const numbered = (guard: string): [string][] =>
  ENTRIES.filter(
    ({ node, path }) => guardOf(path) === guard && (node.kind === "number" || node.kind === "choice"),
  )
    // A dry stage has no fuel solenoid, so the first stage stands for all.
    .map(({ path }) => [pathOf(path)]);

test("the table names every setting and nothing else", () => {
  expect(Object.keys(GUARDS).sort()).toEqual(ENTRIES.map(({ path }) => path).sort());
});

test("a setting that nobody has thought about ends in an error, not in silence", () => {
  expect(() => guardOf("engine.colour")).toThrow("does not say how engine.colour protects");
});

describe("an interlock lost is named", () => {
  const groups = INTERLOCKS.flatMap(({ id, enabledBy }) => enabledBy.map((path) => [id, path] as const));
  test.each(groups)("%s without %s", (id, path) => {
    const words = Uint16Array.from(FULL);
    words[wordAt(path).index] = 0;
    const found = weakenings(FULL_DOCUMENT, unpack(words));
    expect(found.filter(({ kind, interlocks }) => kind === "lost" && interlocks.includes(id))).toHaveLength(
      1,
    );
    expect(weakenings(unpack(words), FULL_DOCUMENT).filter(({ kind }) => kind === "lost")).toEqual([]);
  });
});

describe("a limit that allows more", () => {
  test.each(numbered("lower"))("%s raised, not lowered", (path) => {
    const { min, max } = wordAt(path);
    const [low, high] = [withWord(path, min), withWord(path, max)];
    expect(said(low, high)).toHaveLength(1);
    expect(said(low, high)[0]).toMatch(/^wider /);
    expect(said(high, low)).toEqual([]);
  });
  test.each(numbered("higher"))("%s lowered, not raised", (path) => {
    const { min, max } = wordAt(path);
    const [low, high] = [withWord(path, min), withWord(path, max)];
    expect(said(high, low)).toHaveLength(1);
    expect(said(high, low)[0]).toMatch(/^wider /);
    expect(said(low, high)).toEqual([]);
  });
});

test.each(numbered("meaning"))("%s changed either way means something else", (path) => {
  const { min, max } = wordAt(path);
  expect(said(withWord(path, min), withWord(path, max))).toMatchObject([expect.stringMatching(/^meaning /)]);
  expect(said(withWord(path, max), withWord(path, min))).toMatchObject([expect.stringMatching(/^meaning /)]);
});

test("what is said names field, both values and why", () => {
  const texts = weakenings(FULL_DOCUMENT, withWord("bottle.highestKpaGauge", 7500)).map(({ text }) => text);
  expect(texts).toEqual([
    "bottle.highest goes from 7240 kPa gauge to 7500 kPa gauge, which allows more (trips above this)",
  ]);
});

test.prop([legalDocument])("nothing is said of equal settings", (document) => {
  expect(weakenings(document, document)).toEqual([]);
});

test.prop([legalDocument, legalDocument])(
  "all documents can be compared, and each place is told once",
  (a, b) => {
    const fields = weakenings(a, b).map(({ field }) => field);
    expect(new Set(fields).size).toBe(fields.length);
  },
);

const RAMP_WORDS = WORDS.filter(({ path }) => path.includes(".ramps"));
test.prop([fc.constantFrom(...RAMP_WORDS), fc.integer({ min: 0, max: 1000 })])(
  "a changed ramp is no protection",
  (word, value) => {
    expect(weakenings(FULL_DOCUMENT, withWord(word.path, value))).toEqual([]);
  },
);

test.each(PAST_LAYOUTS)(
  "bringing version $version up to date weakens nothing that it had",
  ({ version, lacks }) => {
    const after = checkSettings(pastText(version, "full.yaml")).document!;
    const [past, present] = [fromBytes(pastBlock(version)), pack(after)];
    let at = 0;
    // What that version did not have yet is left as it is now: nothing can be compared with it.
    const before = WORDS.map(({ path, index }) => (lacks.includes(path) ? present[index]! : past[at++]!));
    expect(at).toBe(past.length);
    expect(weakenings(unpack(before), after)).toEqual([]);
  },
);
