// Random legal documents: a document with every part in it, thinned and changed word by word as long as the judge agrees.
import { fc } from "@fast-check/vitest";
import { judge } from "#shared-schema/judge.ts";
import { type Document, pack, unpack } from "#shared-schema/pack.ts";
import { SETTINGS } from "#shared-schema/settings.ts";
import type { SettingNode } from "#shared-schema/table.ts";
import { inUse, WORDS } from "#shared-schema/words.ts";

function full(node: SettingNode): unknown {
  switch (node.kind) {
    case "number":
    case "choice":
      return node.example;
    case "group":
      return Object.fromEntries(node.fields.map((field) => [field.name, full(field)]));
    case "list":
      return Array.from({ length: node.max }, () =>
        Object.fromEntries(node.fields.map((field) => [field.name, full(field)])),
      );
    case "points":
      return Array.from({ length: node.max }, (_, i) => [500 * i, 80 * (i + 1)]);
  }
}

/** A legal document with every optional part, four stages, two ramps each, twelve points each. */
export const FULL_DOCUMENT = full(SETTINGS) as Document;

/** Words with `index` changed, everything out of use zeroed; the old words when the judge finds that wrong. */
function changed(words: Uint16Array, index: number, value: number): Uint16Array {
  const next = Uint16Array.from(words);
  next[index] = value;
  for (const word of WORDS) if (!inUse(word, next)) next[word.index] = 0;
  return judge(next).length === 0 ? next : words;
}

const change = fc.nat(WORDS.length - 1).chain((index) => {
  const word = WORDS[index]!;
  return fc.tuple(fc.constant(index), fc.integer({ min: word.min, max: word.max }));
});

/** Legal documents. */
export const legalDocument: fc.Arbitrary<Document> = fc
  .array(change, { maxLength: 150 })
  .map((changes) =>
    unpack(changes.reduce((words, [index, value]) => changed(words, index, value), pack(FULL_DOCUMENT))),
  );
