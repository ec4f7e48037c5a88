// What `check --fix` mends: spelling, units, decimal commas and order, to the very same settings; values and limits never.
import { fc, test as property } from "@fast-check/vitest";
import { describe, expect, test } from "vitest";
import { checkSettings } from "#host/settings/check.ts";
import { exampleDocument, PROTECTIONS } from "#host/settings/example.ts";
import { fixSettings } from "#host/settings/fix.ts";
import { settingsHash } from "#host/settings/hash.ts";
import { formatSettings } from "#host/settings/write.ts";
import { runs } from "../../support/effort.ts";

const DOCUMENT = exampleDocument(2, PROTECTIONS);
const GOOD = formatSettings(DOCUMENT);
/** The same without comments, for the swapping of its sections. */
const PLAIN = GOOD.split("\n")
  .filter((line) => !/^\s*#|^$/.test(line))
  .join("\n");
const sections = PLAIN.split(/\n(?=\S)/).map((text) => text.trimEnd());

const hashOf = (text: string): string | undefined => {
  const { document } = checkSettings(text);
  return document && settingsHash(document);
};

/** Mistakes of writing with what they are, each in a place of its own. */
const SLIPS: readonly (readonly [string, RegExp, string])[] = [
  ["spelling", /rev-limiter:/, "rev-limitter:"],
  ["spelling", /hysteresis:/, "hysterisis:"],
  ["spelling", /kind: wet/, "kind: wett"],
  ["unit", /(rev-limiter: \d+) rpm/, "$1 RPM"],
  ["unit", /(rev-limitter: \d+) rpm/, "$1 rmp"],
  ["unit", /(lowest: [\d.]+) V/, "$1 v"],
  ["decimal comma", /0\.6 V/, "0,6 V"],
  ["decimal comma", /4\.75 V/, "4,75 V"],
];

/** Decimal commas in a ramp point, and what stands there then; null where it could mean another thing. */
const POINTS: readonly (readonly [string, string | null])[] = [
  ["[1,5 s, 100 %]", "[1.5 s, 100 %]"],
  ["[1,5 s, 99,5 %]", "[1.5 s, 99.5 %]"],
  ["[1.5 s, 99,5 %]", "[1.5 s, 99.5 %]"],
  ["[1,5 s,100 %]", "[1.5 s,100 %]"],
  ["[1,500 s, 100 %]", null],
  ["[1, 5 s, 100 %]", null],
];

describe("a decimal comma in a ramp point", () => {
  test.each(POINTS)("%s is named, and mended where only one thing can be meant", (written, mended) => {
    const text = GOOD.replace("[1.5 s, 100 %]", written);
    const { issues } = checkSettings(text);
    expect(issues[0]!.text).toMatch(/has a comma in its number|decimals take a point/);
    const fixed = fixSettings(text);
    expect(fixed.text).toBe(mended === null ? text : GOOD.replace("[1.5 s, 100 %]", mended));
    for (const { kind } of fixed.fixes) expect(kind).toBe("decimal comma");
  });
});

describe("writing that is wrong", () => {
  property.prop(
    [
      fc.subarray([...SLIPS], { minLength: 1 }),
      fc.shuffledSubarray([...sections], { minLength: sections.length }),
    ],
    runs(60),
  )("is mended to the same settings, and a second run finds nothing", (slips, shuffled) => {
    const text = slips.reduce(
      (done, [, pattern, wrong]) => done.replace(pattern, wrong),
      shuffled.join("\n"),
    );
    const fixed = fixSettings(text);
    expect(hashOf(fixed.text)).toBe(settingsHash(DOCUMENT));
    expect(fixSettings(fixed.text)).toEqual({ text: fixed.text, fixes: [] });
  });

  test.each(SLIPS.filter(([, pattern]) => pattern.test(GOOD)))(
    "%s: %s is told of",
    (kind, pattern, wrong) => {
      const text = GOOD.replace(pattern, wrong);
      const kinds = fixSettings(text).fixes.map((fix) => fix.kind);
      // A spelling that every table of units knows is no mistake.
      expect(checkSettings(text).document ? [kind] : kinds).toContain(kind);
    },
  );

  test("comments stay with what they explain when the order changes", () => {
    const text = PLAIN.replace(/^battery:/m, "# the alternator gives 14 V\nbattery:").split(/\n(?=\S)/);
    const fixed = fixSettings([text[0], ...text.slice(1).reverse()].join("\n")).text;
    expect(hashOf(fixed)).toBe(settingsHash(DOCUMENT));
    expect(fixed).toContain("# the alternator gives 14 V");
  });
});

describe("values", () => {
  const untouched = [
    ["outside its limits", GOOD.replace(/rev-limiter: \d+ rpm/, "rev-limiter: 90000 rpm")],
    ["that break a rule", GOOD.replace(/opens-at: \d+ %/, "opens-at: 60 %")],
    ["without a unit", GOOD.replace(/(rev-limiter: \d+) rpm/, "$1")],
    ["with a unit of another kind", GOOD.replace(/(rev-limiter: \d+) rpm/, "$1 mph")],
    ["with a unit that could be two", GOOD.replace(/(lowest: [\d.]+) V/, "$1 mb")],
    ["that may be thousands", GOOD.replace(/rev-limiter: \d+ rpm/, "rev-limiter: 7,200 rpm")],
    [
      "without what a pressure is measured against",
      GOOD.replace(/^( *low(?:est)?: [\d.]+ \w+) gauge/m, "$1"),
    ],
  ] as const;
  test.each(untouched)("%s are left as they are", (_, text) => {
    expect(text).not.toBe(GOOD);
    expect(checkSettings(text).issues.length).toBeGreaterThan(0);
    expect(fixSettings(text)).toEqual({ text, fixes: [] });
  });

  test("a key that is mended may still have a value outside its limits", () => {
    const text = GOOD.replace(/rev-limiter: \d+ rpm/, "rev-limitter: 90000 rpm");
    const fixed = fixSettings(text);
    expect(fixed.fixes).toMatchObject([{ kind: "spelling", from: "rev-limitter", to: "rev-limiter" }]);
    expect(checkSettings(fixed.text).issues.map(({ code }) => code)).toEqual(["limit"]);
  });
});
