// A small plot in plain characters: one curve over another, readable without colour.

/** Points from left to right: place and height. */
export type Curve = readonly (readonly [number, number])[];

/** Two curves, their marks, and what the axes mean. */
export interface PlotPair {
  readonly before: Curve;
  readonly after: Curve;
  /** Largest height. */
  readonly top: number;
  readonly left: string;
  readonly right: string;
  /** What the curves are called. */
  readonly sides: { readonly before: string; readonly after: string };
}

const MOST_COLUMNS = 60;
const OLD = "o";
const NEW = "+";
const BOTH = "*";

/** Height of a curve at a place: straight between the points, ends held. */
export function heightAt(curve: Curve, place: number): number {
  const after = curve.findIndex(([at]) => at >= place);
  if (after === -1) return curve.at(-1)?.[1] ?? 0;
  const [x1, y1] = curve[after]!;
  const [x0, y0] = curve[Math.max(0, after - 1)]!;
  return x1 === x0 ? y1 : y0 + ((y1 - y0) * (place - x0)) / (x1 - x0);
}

function cellsOf(
  curve: Curve,
  columns: number,
  [from, to]: readonly [number, number],
  scale: number,
): number[] {
  if (curve.length === 0) return [];
  return Array.from({ length: columns }, (_, c) => {
    const height = heightAt(curve, from + ((to - from) * c) / (columns - 1));
    return Math.round(height * scale);
  });
}

function mark(row: number, old: number | undefined, young: number | undefined): string {
  if (old === row && young === row) return BOTH;
  if (young === row) return NEW;
  return old === row ? OLD : " ";
}

/** Ends of the axis and the meaning of the marks, on one line where both fit. */
function legendLines({ left, right, sides }: PlotPair, columns: number): string[] {
  const marks = `${OLD} ${sides.before}  ${NEW} ${sides.after}  ${BOTH} both`;
  const both = `${left}   ${marks}   `;
  if (both.length + right.length <= columns) return [both + right.padStart(columns - both.length)];
  return [left + right.padStart(Math.max(right.length + 1, columns - left.length)), marks];
}

/** Lines of the plot, at most so wide: so many rows of marks, and one or two lines below them. */
export function plotLines(pair: PlotPair, width: number, height = 8): string[] {
  const all = [...pair.before, ...pair.after].map(([at]) => at);
  const [from, to] = [Math.min(...all), Math.max(...all)];
  const columns = Math.max(10, Math.min(MOST_COLUMNS, width - 9));
  const scale = (height - 1) / pair.top;
  const old = cellsOf(pair.before, columns, [from, to], scale);
  const young = cellsOf(pair.after, columns, [from, to], scale);
  const rows = Array.from({ length: height }, (_, r) => {
    const row = height - 1 - r;
    const label = row === height - 1 ? "100 %" : row === 0 ? "  0 %" : "     ";
    const cells = Array.from({ length: columns }, (_, c) => mark(row, old[c], young[c])).join("");
    return `${label} |${cells}`.trimEnd();
  });
  return [...rows, ...legendLines(pair, columns).map((line) => `       ${line}`)];
}
