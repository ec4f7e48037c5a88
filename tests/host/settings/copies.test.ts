// Copies: restore(copy(x)) = x, named by date and content, never overwritten, in the place that each system wants.
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { checkSettings } from "#host/settings/check.ts";
import { keepCopy, listCopies } from "#host/settings/copies.ts";
import { dataFolder } from "#host/settings/data-folder.ts";
import { exampleDocument } from "#host/settings/example.ts";
import { settingsHash } from "#host/settings/hash.ts";
import { runs } from "../../support/effort.ts";
import { tempFolder } from "../../support/temp-folder.ts";
import { legalDocument } from "./documents.ts";

const BOARD = "012345";
const at = (second: number): Date => new Date(Date.UTC(2026, 4, 1, 10, 0, second));

describe("copies", () => {
  test.prop([legalDocument], runs(30))("restore(copy(x)) = x", (document) => {
    const copy = keepCopy(tempFolder(), BOARD, document, at(0));
    expect(copy.hash).toBe(settingsHash(document));
    expect(checkSettings(readFileSync(copy.path, "utf8")).document).toEqual(document);
  });

  test.prop([fc.array(fc.integer({ min: 1, max: 4 }), { minLength: 1, maxLength: 8 })])(
    "every change in a row is kept, in order; the same again is not kept twice",
    (stages) => {
      const data = tempFolder();
      stages.forEach((n, second) => {
        keepCopy(data, BOARD, exampleDocument(n), at(second));
      });
      const kept = stages.filter((n, i) => n !== stages[i - 1]);
      const expected = kept.map((n) => settingsHash(exampleDocument(n)));
      expect(listCopies(data, BOARD).map(({ hash }) => hash)).toEqual(expected);
      expect(listCopies(data).length).toBe(kept.length);
      expect(listCopies(data, "543210")).toEqual([]);
    },
  );
});

describe("data folder", () => {
  test.each([
    ["linux", { HOME: "/h" }, join("/h", ".local", "share", "headgate")],
    ["linux", { HOME: "/h", XDG_DATA_HOME: "/x" }, join("/x", "headgate")],
    ["darwin", { HOME: "/h" }, join("/h", "Library", "Application Support", "headgate")],
    ["win32", { HOME: "/h", LOCALAPPDATA: "/l" }, join("/l", "headgate")],
    ["linux", { HEADGATE_DATA: "/d" }, "/d"],
  ] as const)("%s %j", (platform, env, expected) => {
    expect(dataFolder(env, platform)).toBe(expected);
  });
});
