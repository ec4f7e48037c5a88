// Short facts in as many columns as a screen has room for, read downwards; long ones below them, each on lines of its own.
import { labelled } from "./wrap.ts";

/** A name and its value. */
export type Cell = readonly [name: string, value: string];

const GAP = 3;
/** A value longer than this would make every column too wide. */
const SHORT = 22;

const longest = (texts: readonly string[]): number => Math.max(0, ...texts.map((text) => text.length));

/** Cells one under the other, all as wide as the widest. */
function column(cells: readonly Cell[]): string[] {
  const name = longest(cells.map(([text]) => text));
  const lines = cells.map(([label, text]) => `${label.padEnd(name)} ${text}`);
  const width = longest(lines);
  return lines.map((line) => line.padEnd(width));
}

/** Cells in so many columns, read downwards. */
function spread(cells: readonly Cell[], across: number): string[] {
  const down = Math.ceil(cells.length / across);
  const starts = Array.from({ length: Math.ceil(cells.length / down) }, (_, c) => c * down);
  const columns = starts.map((start) => column(cells.slice(start, start + down)));
  return Array.from({ length: down }, (_, row) =>
    columns
      .flatMap((lines) => lines[row] ?? [])
      .join(" ".repeat(GAP))
      .trimEnd(),
  );
}

/** Cells in as many columns as fit; one under the other, broken where they must be, when only one fits. */
function columns(cells: readonly Cell[], width: number): string[] {
  if (cells.length === 0) return [];
  for (let across = cells.length; across > 1; across--) {
    const lines = spread(cells, across);
    if (longest(lines) <= width) return lines;
  }
  const name = longest(cells.map(([text]) => text));
  return cells.flatMap(([label, text]) => labelled(label.padEnd(name), text, width));
}

/** Lines of cells that fit the width. */
export function cellLines(cells: readonly Cell[], width: number): string[] {
  const short = cells.filter(([, value]) => value.length <= SHORT);
  const long = cells.filter(([, value]) => value.length > SHORT);
  const name = longest(long.map(([text]) => text));
  return [
    ...columns(short, width),
    ...long.flatMap(([label, text]) => labelled(label.padEnd(name), text, width)),
  ];
}
