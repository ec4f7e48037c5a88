// Files of past versions, kept as they were: right by the schema of their time, and brought up to date with every change told.
import { readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { describe, expect, test } from "vitest";
import { parse } from "yaml";
import { z } from "zod";
import { checkSettings } from "#host/settings/check.ts";
import { MIGRATIONS } from "#host/settings/migrations.ts";
import { PAST_LAYOUTS, pastBytes, textOfPast } from "#host/settings/past-layouts.ts";
import { FINGERPRINT } from "#shared-schema/generated/fingerprint.ts";
import { LAYOUT_VERSION } from "#shared-schema/settings/settings.ts";
import { changesFrom, PRESENT_FULL, pastBlock, pastText } from "./past-files.ts";

const DEMO = new URL("../../../host/demo/street-coupe.yaml", import.meta.url);
const demo = readFileSync(fileURLToPath(DEMO), "utf8");

describe.each(MIGRATIONS.map(({ from }) => from))("version %d", (version) => {
  const file = (name: string): string => pastText(version, name);

  test.each(["full.yaml", "street-coupe.yaml"])("%s is right by the schema of its version", (name) => {
    const validator = z.fromJSONSchema(JSON.parse(file("settings.schema.json")) as never);
    const read = parse(file(name)) as { version: number };
    expect(validator.safeParse(read)).toMatchObject({ success: true });
    expect(read.version).toBe(version);
    expect(validator.safeParse({ ...read, version: version + 1 })).toMatchObject({ success: false });
  });

  test("a full file becomes the same settings of the present version, every change told", () => {
    const { document, issues, migrated } = checkSettings(file("full.yaml"));
    expect(issues).toEqual([]);
    expect(document).toEqual(checkSettings(PRESENT_FULL).document);
    expect(migrated).toEqual(changesFrom(version));
  });

  test("the demo of its time becomes the present one but for what is as strict as it can be, and for what it does not know", () => {
    const { document, issues, migrated } = checkSettings(file("street-coupe.yaml"));
    expect(issues).toEqual([]);
    const expected = version === 1 ? demo.replace("unevenness: 10 %", "unevenness: 2 %") : demo;
    const sender = version < 4 ? expected.replace("sender: undriven-wheel", "sender: driveshaft") : expected;
    const unwatched = sender.replace(/^clamps: .*\n/m, "");
    expect(document).toEqual(checkSettings(unwatched).document);
    expect(migrated).toEqual(changesFrom(version));
  });

  test.each([
    ["opens-at: 95.5 %", "opens-at: 98 %"],
    ["pulses: 1760 pulses/km", "pulses: 400 pulses/km"],
  ])("%s as %s is just carried over", (from, to) => {
    expect(checkSettings(file("full.yaml").replace(from, to)).issues).toEqual([]);
  });

  test("its files know every part: each key of its schema stands in the full one", () => {
    const keys = (text: string): Set<string> =>
      new Set([...text.matchAll(/(?:^|[{,])\s*(?:- )?([a-z0-9-]+):/gm)].map(([, key]) => key!));
    const known = [...file("settings.schema.json").matchAll(/"([a-z][a-z0-9-]*)": \{/g)].map(
      ([, key]) => key!,
    );
    const missing = known.filter((key) => !keys(file("full.yaml")).has(key) && !SCHEMA_WORDS.includes(key));
    expect(missing).toEqual([]);
  });
});

/** The last version whose limits reached further than the present ones. */
const WITH_WIDER_LIMITS = 2;

describe.each(MIGRATIONS.map(({ from }) => from).filter((version) => version <= WITH_WIDER_LIMITS))(
  "version %d, whose limits reached further",
  (version) => {
    test.each([
      ["opens-at: 95.5 %", "opens-at: 98.5 %", "throttle.position.opens-at", "98.5 %", "at most 98 %"],
      [
        "pulses: 1760 pulses/km",
        "pulses: 0.3 pulses/m",
        "road.pulses",
        "0.3 pulses/m",
        "at least 400 pulses/km",
      ],
    ])(
      "%s as %s cannot be carried over: refused at its place, never moved",
      (from, to, field, got, takes) => {
        const text = pastText(version, "full.yaml").replace(from, to);
        const { document, issues } = checkSettings(text);
        expect(document).toBeUndefined();
        const line = text.split("\n").findIndex((one) => one.includes(to)) + 1;
        const column = text.split("\n")[line - 1]!.indexOf(got) + 1;
        expect(issues).toMatchObject([
          { code: "wrong-version", field, got, takes, line, column, length: got.length },
        ]);
        expect(issues[0]!.text).toContain("cannot be migrated automatically");
      },
    );
  },
);

/** Words of the form of a schema, and the one key that a file may have beside the settings. */
const SCHEMA_WORDS: readonly string[] = ["properties", "items", "name"];

test.each(PAST_LAYOUTS)("a block of version $version reads as the file that it was packed from", (layout) => {
  const block = pastBlock(layout.version);
  expect(block.length).toBe(pastBytes(layout));
  const read = parse(textOfPast(layout, block, "copy")) as object;
  expect(read).toEqual({ ...parse(pastText(layout.version, "full.yaml")), name: "copy" });
});

test("every past version has its layout, each with a fingerprint of its own", () => {
  expect(PAST_LAYOUTS.map(({ version }) => version)).toEqual(MIGRATIONS.map(({ from }) => from));
  const all = [...PAST_LAYOUTS.map(({ fingerprint }) => fingerprint), FINGERPRINT];
  expect(new Set(all).size).toBe(all.length);
});

test("every past version has its files, back to the first", () => {
  expect(MIGRATIONS.map(({ from }) => from)).toEqual(
    Array.from({ length: LAYOUT_VERSION - 1 }, (_, i) => i + 1),
  );
});
