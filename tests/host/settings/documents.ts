// Random legal documents: a document with nearly every part in it, thinned and changed word by word as long as it stays valid.
import { fc } from "@fast-check/vitest";
import { validate } from "#shared-schema/rules/validate.ts";
import { type Document, pack, unpack } from "#shared-schema/settings/pack.ts";
import { inUse, WORDS } from "#shared-schema/settings/words.ts";
import { fullDocument } from "../../support/documents.ts";

/** A legal document with four stages and every optional part but those that exclude each other. */
export const FULL_DOCUMENT: Document = fullDocument();

/** Words with `index` changed, everything out of use zeroed; the old words when that is not valid. */
function changed(words: Uint16Array, index: number, value: number): Uint16Array {
  const next = Uint16Array.from(words);
  next[index] = value;
  for (const word of WORDS) if (!inUse(word, next)) next[word.index] = 0;
  return validate(next).length === 0 ? next : words;
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
