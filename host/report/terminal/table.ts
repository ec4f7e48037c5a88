// Plain tables in columns; where the screen is too narrow each row becomes a block of labelled lines.
import { labelled } from "./wrap.ts";

const GAP = "  ";

/** Lines of a table with a head row. Cells hold plain text; the last column may be cut by nothing, only wrapped away. */
export function tableLines(
  head: readonly string[],
  rows: readonly (readonly string[])[],
  width: number,
): string[] {
  const widths = head.map((title, c) => Math.max(title.length, ...rows.map((row) => (row[c] ?? "").length)));
  const total = widths.reduce((sum, w) => sum + w, 0) + GAP.length * (head.length - 1);
  if (total > width) return rows.flatMap((row) => block(head, row, width));
  const line = (cells: readonly string[]): string =>
    cells
      .map((cell, c) => cell.padEnd(widths[c]!))
      .join(GAP)
      .trimEnd();
  return [line(head), line(widths.map((w) => "-".repeat(w))), ...rows.map(line)];
}

function block(head: readonly string[], row: readonly string[], width: number): string[] {
  const longest = Math.max(...head.map((title) => title.length));
  const lines = head.flatMap((title, c) => labelled(`${title.padEnd(longest)} `, row[c] || "-", width));
  return [...lines, ""];
}
