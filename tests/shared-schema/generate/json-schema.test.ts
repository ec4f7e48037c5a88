// The JSON Schema of a settings file takes what the settings reader takes and refuses wrong forms; judged by zod's own reader of JSON Schema.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { parse } from "yaml";
import { z } from "zod";
import { checkSettings } from "#host/settings/check.ts";
import { exampleDocument } from "#host/settings/example.ts";
import { readStored, storageOf, writeStored } from "#host/settings/stored.ts";
import { formatSettings } from "#host/settings/write.ts";
import { findUnit } from "#host/units/lookup.ts";
import { dimensionEntry } from "#host/units/table.ts";
import { settingsSchema, settingsSchemaText } from "#shared-schema/generate/json-schema.ts";
import { UNITS } from "#shared-schema/model/units.ts";
import { ENTRIES } from "#shared-schema/settings/entries.ts";
import { fileKey, type NumberSetting } from "#shared-schema/settings/table.ts";
import { runs } from "../../support/effort.ts";

type Json = { [key: string]: Json } & { pattern?: string; required?: string[] };
const schema = settingsSchema() as unknown as Json;
const validator = z.fromJSONSchema(JSON.parse(settingsSchemaText()) as never);
const takes = (file: unknown): boolean => validator.safeParse(file).success;
const example = (): { [key: string]: never } =>
  parse(formatSettings(exampleDocument(2), { name: "track day" })) as { [key: string]: never };

function propertyAt(keys: string): Json {
  return keys.split(".").reduce<Json>((at, key) => (key === "N" ? at.items! : at.properties![key]!), schema);
}
const numbers = ENTRIES.filter((entry) => entry.node.kind === "number").map((entry) => ({
  node: entry.node as NumberSetting,
  pattern: new RegExp(propertyAt(entry.keys).pattern!, "u"),
}));

describe("the schema", () => {
  test("knows every key of the table, and requires those that may not be left out", () => {
    for (const { node, keys } of ENTRIES) {
      const parent = keys.includes(".") ? propertyAt(keys.slice(0, keys.lastIndexOf("."))) : schema;
      const optional = node.kind === "group" && node.optional;
      expect(propertyAt(keys).description).toContain(node.meaning);
      expect(parent.required!.includes(fileKey(node))).toBe(!optional);
      expect(parent.additionalProperties).toBe(false);
    }
  });

  test("takes a file that the tool writes", () => {
    expect(checkSettings(formatSettings(exampleDocument(2))).issues).toEqual([]);
    expect(takes(example())).toBe(true);
  });

  test.each([
    ["an unknown key", { colour: "red" }],
    ["a missing unit", { flow: { frequency: 20, "rise-limit": "400 %/s", "longest-run": "12 s" } }],
    ["a group that lacks a key", { flow: { frequency: "20 Hz" } }],
    ["a word that is no choice", { launch: { "starts-at": "later" } }],
    ["no stages", { stages: [] }],
    ["another version", { version: 99 }],
  ])("refuses %s", (_, change) => {
    expect(takes({ ...example(), ...change })).toBe(false);
  });

  test("refuses a file without a version", () => {
    const { version: _, ...rest } = example();
    expect(takes(rest)).toBe(false);
  });
});

describe("a quantity's pattern", () => {
  const value = fc.double({ min: 0, max: 1e6, noNaN: true });
  const suffix = fc.constantFrom("", " absolute", " gauge");
  const unitsOf = (node: NumberSetting): string[] => {
    const { dimension } = findUnit(UNITS[node.unit].written, [])!;
    return Object.entries(dimensionEntry(dimension).units).flatMap(([name, { aliases = [] }]) => [
      name,
      ...aliases,
    ]);
  };
  const written = fc.constantFrom(...numbers).chain(({ node, pattern }) =>
    fc.record({
      node: fc.constant(node),
      pattern: fc.constant(pattern),
      unit: fc.constantFrom(...unitsOf(node)),
    }),
  );

  test.prop([written, value, suffix], runs(1000))(
    "matches whatever the settings reader reads",
    ({ node, pattern, unit }, number, reference) => {
      const text = `${number} ${unit}${reference}`;
      if (typeof readStored(text, storageOf(node)) === "number") expect(text).toMatch(pattern);
    },
  );

  test("matches the example, and never a number without a unit, a decimal comma or a word", () => {
    for (const { node, pattern } of numbers) {
      expect(writeStored(node.example, storageOf(node))).toMatch(pattern);
      for (const wrong of [String(node.example), "3,5 rpm", "fast"]) expect(wrong).not.toMatch(pattern);
    }
  });

  test("wants a manifold pressure to say its reference, a difference not", () => {
    const at = (name: string): RegExp => new RegExp(propertyAt(name).pattern!, "u");
    expect("85 kPa").not.toMatch(at("windows.manifold.open"));
    expect("12 psi gauge").toMatch(at("windows.manifold.open"));
    expect("12psia").toMatch(at("windows.manifold.open"));
    expect("2 kPa").toMatch(at("windows.manifold.hysteresis"));
  });
});
