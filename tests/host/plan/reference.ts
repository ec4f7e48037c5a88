/** Reads the reference tables; each table's own source is named in tests/reference/plan-sources.md. */
import { readFileSync } from "node:fs";

const path = (name: string) => new URL(`../../reference/${name}`, import.meta.url);

/** Rows of a reference CSV by column name; numbers where the text is one. */
export function csv(name: string): Record<string, string>[] {
  const [head, ...rows] = readFileSync(path(name), "utf8").trim().split("\n");
  const columns = head!.split(",");
  return rows.map((row) => Object.fromEntries(cells(row).map((cell, i) => [columns[i]!, cell])));
}

/** Cells of a line; a quoted cell may hold commas. */
const cells = (line: string): string[] =>
  [...line.matchAll(/(?:^|,)(?:"([^"]*)"|([^,]*))/gu)].map((match) => match[1] ?? match[2] ?? "");

/** A reference JSON file. */
export const json = (name: string): ReturnType<typeof JSON.parse> =>
  JSON.parse(readFileSync(path(name), "utf8"));

/** Numeric cell of a row; throws when it is none. */
export function num(row: Record<string, string>, column: string): number {
  const value = Number(row[column]);
  if (row[column] === undefined || row[column] === "" || Number.isNaN(value))
    throw new Error(`no number in ${column}`);
  return value;
}
