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

const page = settingsDoc();
/** Items of all lists, each in one line. */
const items = page
  .split(/\n(?=- |\n)/)
  .map((text) => text.trim().replace(/\n +/g, " "))
  .filter((text) => text.startsWith("- **`"));
const numbers = ENTRIES.map((entry) => entry.node).filter(
  (node): node is NumberSetting => node.kind === "number",
);
const itemsOf = (name: string): string[] => items.filter((text) => text.startsWith(`- **\`${name}\`**: `));
/** Texts begin with a large letter here. */
const told = (item: string, text: string): boolean => item.toLowerCase().includes(text.toLowerCase());

test("no line is longer than a screen of 120 columns shows", () => {
  expect(page.split("\n").filter((line) => line.length > 130)).toEqual([]);
});

describe("every setting", () => {
  test("has one item, and every stored word belongs to one", () => {
    for (const { keys } of ENTRIES) expect(itemsOf(keys)).toHaveLength(1);
    const all = new Set(ENTRIES.map((entry) => entry.keys));
    for (const word of WORDS) expect(all).toContain(keysOf(word.path).replace(/(points)(\.N)+$/, "$1"));
  });

  test("shows limits, example, meaning and reason", () => {
    for (const { node, keys } of ENTRIES) {
      const item = itemsOf(keys)[0]!;
      expect(told(item, `. ${node.meaning}.`), keys).toBe(true);
      if (node.kind !== "number") continue;
      const limits = `**: ${written(node.min, node)} to ${written(node.max, node)}, such as \`${written(node.example, node)}\`. `;
      expect(item).toContain(limits);
      expect(item).toContain(node.reason);
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
    const found = itemsOf(id).filter((item) => told(item, `: ${text}. It can name `));
    expect(found).toHaveLength(1);
    expect(found[0]!.split("It can name ")[1]!.slice(0, -1).split(", ")).toContain(`\`${keysOf(blame)}\``);
  }
});
