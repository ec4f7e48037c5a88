// docs/storage.md against the schema: every offset and length that it names.
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { LOG_COLUMNS, LOG_PAGE, LOG_RECORD_BYTES } from "#shared-schema/link/columns.ts";
import { SLOT_NOTES } from "#shared-schema/link/messages.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";
import { WORDS } from "#shared-schema/settings/words.ts";
import { tableRows } from "../../support/markdown.ts";

const PAGE = readFileSync("docs/storage.md", "utf8");

/** Rows of the table under a heading or sentence, as offset, bytes, words. */
function tableAfter(start: string): [number, number, string][] {
  const rest = PAGE.slice(PAGE.indexOf(start));
  const end = rest.indexOf("\n\n", rest.indexOf("\n| "));
  return tableRows(rest.slice(0, end)).map(([offset, bytes, what]) => [
    Number(offset),
    Number(bytes),
    what ?? "",
  ]);
}

describe("the page about storage", () => {
  test.each([
    ["## A slot of settings", FLASH.sector],
    ["## A page of the run log", FLASH.page],
    ["A record:", LOG_RECORD_BYTES],
  ])("%s: the rows follow each other without a gap", (start, all) => {
    const rows = tableAfter(start);
    let at = 0;
    for (const [offset, bytes] of rows) {
      expect(offset).toBe(at);
      at += bytes;
    }
    expect(at).toBe(all);
  });

  test("settings have the length of the table", () => {
    expect(tableAfter("## A slot of settings").find(([offset]) => offset === FLASH.page)?.[1]).toBe(
      2 * WORDS.length,
    );
  });

  test("log pages have records, number and check sum where the schema has them", () => {
    const offsets = tableAfter("## A page of the run log").map(([offset]) => offset);
    expect(offsets.slice(-4)).toEqual([
      LOG_PAGE.headBytes,
      LOG_PAGE.countAt,
      LOG_PAGE.numberAt,
      LOG_PAGE.crcAt,
    ]);
  });

  test("records have the columns of the schema", () => {
    const sizes = LOG_COLUMNS.map(({ type }) => (type === "u8" ? 1 : 2));
    const starts = sizes.map((_, i) => sizes.slice(0, i).reduce((sum, n) => sum + n, 0));
    for (const [offset] of tableAfter("A record:")) expect(starts).toContain(offset);
    for (const { name, scale } of LOG_COLUMNS.filter(({ unit }) => unit !== ""))
      expect([name, PAGE.includes(`| ${scale} `)]).toEqual([name, true]);
  });

  test("places in flash and notes are those of the schema", () => {
    const hex = (offset: number): string => `0x${offset.toString(16).toUpperCase().padStart(6, "0")}`;
    for (const offset of [
      FLASH.dataStart,
      FLASH.logStart,
      FLASH.ticksStart,
      FLASH.logEnd,
      FLASH.slotA,
      FLASH.bytes,
    ])
      expect(PAGE).toContain(hex(offset));
    for (const note of Object.keys(SLOT_NOTES)) expect(PAGE).toContain(`| \`${note}\``);
  });
});
