// Cautions: each can be provoked, each stands at a place, and none of them blocks.
import { describe, expect, test } from "vitest";
import { checkSettings } from "#host/settings/check.ts";
import { exampleDocument, PROTECTIONS } from "#host/settings/example.ts";
import { formatSettings } from "#host/settings/write.ts";
import { CAUTIONS } from "#shared-schema/rules/settings-cautions.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { FULL_DOCUMENT } from "./documents.ts";

/** The first ramp of a first file, whatever comments stand in it. */
const OVER_TIME = /- over: time([^[]*)\[0 s, 30 %\]([^[]*)\[1\.5 s,/;

/** For each caution: a change to a good file of so many stages that provokes it alone. */
const PROVOKED: Record<string, readonly [stages: number, from: string | RegExp, to: string]> = {
  "no-proof-of-fuel": [1, /^fuel:\n(?: .*\n)+/m, ""],
  "no-throttle-position": [1, /^ {2}position:\n(?: {4}.*\n)+/m, ""],
  "no-bottle-sensor": [1, /^bottle:\n(?: .*\n)+/m, ""],
  "no-jump-watch": [1, /^ {2}jump:\n(?: {4}.*\n)+/m, ""],
  "no-clamp-watch": [1, /^clamps:\n(?: .*\n)+/m, ""],
  "flow-below-3000-rpm": [1, "low-speed-acknowledged: no", "low-speed-acknowledged: yes"],
  "close-to-limiter": [1, "close: 6700 rpm", "close: 7000 rpm"],
  "fast-pulses": [1, "frequency: 20 Hz", "frequency: 31 Hz"],
  "long-run": [1, "longest-run: 12 s", "longest-run: 30 s"],
  "no-manifold-window": [3, "engine:", "engine:"],
  "full-at-once": [1, "[0 s, 30 %]", "[0 s, 100 %]"],
  "ramp-rises-with-wheelspin": [1, OVER_TIME, "- over: road-speed$1[0 km/h, 30 %]$2[90 km/h,"],
  "quick-to-open": [1, "opening-14v: 9 ms", "opening-14v: 1.4 ms"],
  "fuel-opens-later": [1, "opening-14v: 9 ms", "opening-14v: 6.9 ms"],
  "nitrous-shuts-later": [1, "closing: 8 ms", "closing: 9.1 ms"],
  "quick-valve": [1, "closing: 8 ms", "closing: 3.2 ms"],
  "long-stage": [1, "longest-run: 12 s", "longest-run: 20 s"],
};

/** A first file has no road speed sender; it is given one at a driven part. */
const ROAD = "road: { pulses: 4000 pulses/km, sender: driven-wheel }\n";

/** What the other valve of the stage needs beside it, or the two would flow apart. */
const ALSO: Readonly<Record<string, string>> = {
  "quick-valve": "closing: 7 ms",
  "quick-to-open": "opening-14v: 2.3 ms",
};

test("there is a case for every caution", () => {
  expect(Object.keys(PROVOKED).sort()).toEqual([...new Set(CAUTIONS.map((c) => c.id))].sort());
});

describe.each(Object.entries(PROVOKED))("%s", (id, [stages, from, to]) => {
  test("is said at its place and blocks nothing", () => {
    const text = `${formatSettings(exampleDocument(stages, PROTECTIONS))}\n${ROAD}`.replace(from, to);
    const longer = ALSO[id]
      ? text.replace(from, ALSO[id])
      : id === "long-stage"
        ? text.replace("longest: 8 s", "longest: 16 s")
        : text;
    const { document, issues, cautions } = checkSettings(longer);
    expect(issues).toEqual([]);
    expect(document).toBeDefined();
    expect(cautions.map((c) => c.caution)).toEqual([id]);
    expect(cautions[0]!.line).toBeGreaterThan(1);
  });
});

test("a ramp over the speed of an undriven wheel is not cautioned about", () => {
  const [stages, from, to] = PROVOKED["ramp-rises-with-wheelspin"]!;
  const text = `${formatSettings(exampleDocument(stages, PROTECTIONS)).replace(from, to)}\n${ROAD}`;
  expect(text).toContain("over: road-speed");
  expect(checkSettings(text).cautions).toHaveLength(1);
  expect(checkSettings(text.replace("driven-wheel", "undriven-wheel")).cautions).toEqual([]);
});

describe("a protection that is left out", () => {
  const cautionsWithout = (...left: string[]): string[] => {
    const groups = PROTECTIONS.filter((path) => !left.includes(path));
    return checkSettings(formatSettings(exampleDocument(1, groups))).cautions.map(({ caution }) => caution);
  };

  test.each([
    ["fuel", "no-proof-of-fuel"],
    ["throttle.position", "no-throttle-position"],
    ["bottle", "no-bottle-sensor"],
    ["engine.jump", "no-jump-watch"],
    ["clamps", "no-clamp-watch"],
  ])("%s: %s, alone", (group, id) => {
    expect(cautionsWithout(group)).toEqual([id]);
  });

  test("every protection of a first file has its caution", () => {
    for (const group of PROTECTIONS) expect(cautionsWithout(group)).toHaveLength(1);
    expect(cautionsWithout(...PROTECTIONS)).toHaveLength(PROTECTIONS.length);
  });

  test("a lambda sensor is a proof of fuel too; a position sensor alone needs no switch", () => {
    const { fuel: _, lambda: __, ...plain } = FULL_DOCUMENT;
    const said = (document: object): string[] =>
      checkSettings(formatSettings(document as Document)).cautions.map(({ caution }) => caution);
    expect(said({ ...plain, lambda: FULL_DOCUMENT.lambda })).not.toContain("no-proof-of-fuel");
    expect(said({ ...plain, fuel: FULL_DOCUMENT.fuel })).not.toContain("no-proof-of-fuel");
    expect(said(plain).filter((id) => id === "no-proof-of-fuel")).toHaveLength(3);
    const position = FULL_DOCUMENT.throttle as object;
    expect(said({ ...plain, throttle: { ...position, switch: "no" } })).not.toContain("no-throttle-position");
  });
});

test("a first file has no cautions", () => {
  expect(checkSettings(formatSettings(exampleDocument(2, PROTECTIONS))).cautions).toEqual([]);
});
