// docs/settings.md tells every setting and every rule, in units that the settings reader takes.

import { test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { fieldOf } from "#host/settings/field.ts";
import { readStored, storageOf, writeStored } from "#host/settings/stored.ts";
import { settingsDoc } from "#shared-schema/generate/settings-doc.ts";
import { RULES } from "#shared-schema/rules/rules.ts";
import { CAUTIONS } from "#shared-schema/rules/settings-cautions.ts";
import { ENTRIES, keysOf, written } from "#shared-schema/settings/entries.ts";
import type { NumberSetting } from "#shared-schema/settings/table.ts";
import { WORDS } from "#shared-schema/settings/words.ts";
import { tableRows } from "../../support/markdown.ts";

const page = settingsDoc();
const rows = tableRows(page);
const numbers = ENTRIES.map((entry) => entry.node).filter(
  (node): node is NumberSetting => node.kind === "number",
);
const rowOf = (keys: string): string[][] =>
  rows.filter((row) => row.length === 5 && row[0] === `\`${keys}\``);

describe("every setting", () => {
  test("has one row, and every stored word belongs to one", () => {
    for (const { keys } of ENTRIES) expect(rowOf(keys)).toHaveLength(1);
    const told = new Set(ENTRIES.map((entry) => entry.keys));
    for (const word of WORDS) expect(told).toContain(keysOf(word.path).replace(/(points)(\.N)+$/, "$1"));
  });

  test("shows limits, example, meaning and reason", () => {
    for (const { node, keys } of ENTRIES) {
      const row = rowOf(keys)[0]!;
      expect(row[3]).toBe(node.meaning);
      if (node.kind !== "number") continue;
      expect(row[1]).toBe(`${written(node.min, node)} to ${written(node.max, node)}`);
      expect(row[2]).toBe(`\`${written(node.example, node)}\``);
      expect(row[4]).toBe(node.reason);
    }
  });

  test("is written as the settings reader reads it back", () => {
    for (const node of numbers) {
      for (const raw of [node.min, node.example, node.max]) {
        expect(written(raw, node)).toBe(writeStored(raw, storageOf(node)));
        expect(readStored(written(raw, node), storageOf(node))).toBe(raw);
      }
    }
  });

  test("has the path that messages name", () => {
    for (const { path } of WORDS) {
      expect(keysOf(path).split(".N")[0]).toBe(fieldOf(path).split(/\.\d/)[0]);
    }
    expect(keysOf("stages.3.ramps.1.points.11.0")).toBe("stages.N.ramps.N.points.N");
    expect(() => keysOf("stages.0.nothing")).toThrow("no setting at");
  });
});

test("each rule and each caution is told once, with every key that it names", () => {
  for (const { id, text, blame } of [...RULES, ...CAUTIONS]) {
    const told = rows.filter((row) => row[0] === `\`${id}\`` && row[1] === text);
    expect(told).toHaveLength(1);
    expect(told[0]![2]!.split(", ")).toContain(`\`${keysOf(blame)}\``);
  }
});
