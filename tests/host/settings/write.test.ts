// What is written is read again as the same document, comments and all, whatever the document.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { crc32c } from "#host/codec/crc32c.ts";
import { checkSettings } from "#host/settings/check.ts";
import { exampleDocument } from "#host/settings/example.ts";
import { settingsBytes, settingsHash } from "#host/settings/hash.ts";
import { formatSettings } from "#host/settings/write.ts";
import { checkDocument } from "#shared-schema/settings/document.ts";
import { fromBytes, unpack } from "#shared-schema/settings/pack.ts";
import { SETTINGS } from "#shared-schema/settings/settings.ts";
import { fileKey, type SettingNode } from "#shared-schema/settings/table.ts";
import { FULL_DOCUMENT, legalDocument } from "./documents.ts";

describe("writing", () => {
  test.prop([legalDocument])("reads back as the same document", (document) => {
    const checked = checkSettings(formatSettings(document));
    expect(checked.issues).toEqual([]);
    expect(checked.document).toEqual(document);
  });

  test.prop([fc.string({ minLength: 1 })])("keeps the name", (name) => {
    const checked = checkSettings(formatSettings(exampleDocument(), { name }));
    expect(checked.issues).toEqual([]);
    expect(checked.name).toBe(name);
  });

  test("explains every setting at least once", () => {
    const text = formatSettings(FULL_DOCUMENT);
    const meanings = (node: SettingNode): string[] => [
      node.meaning,
      ...("fields" in node ? node.fields.flatMap(meanings) : []),
    ];
    for (const meaning of SETTINGS.fields.flatMap(meanings)) expect(text).toContain(`# ${meaning}\n`);
  });

  test("names the parts that are left out", () => {
    const text = formatSettings(exampleDocument());
    for (const node of SETTINGS.fields.filter((n) => n.kind === "group" && n.optional))
      expect(text).toContain(`# ${fileKey(node)}: not used`);
  });
});

describe("examples", () => {
  test.each([1, 2, 3, 4])("%i stages are legal", (stages) => {
    expect(checkDocument(exampleDocument(stages))).toEqual([]);
  });
});

describe("hash", () => {
  test.prop([legalDocument])(
    "is the CRC-32C of the packed bytes, which hold the whole document",
    (document) => {
      const bytes = settingsBytes(document);
      expect(settingsHash(document)).toMatch(/^[0-9a-f]{8}$/);
      expect(Number.parseInt(settingsHash(document), 16)).toBe(crc32c(bytes));
      expect(unpack(fromBytes(bytes))).toEqual(document);
    },
  );
});
