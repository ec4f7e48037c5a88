/** A line through points, laid out on an even grid so that a stepped model reads it without a search. */
import { interpolateLine } from "./torque-curve.ts";

/** Values of a line at even steps from `from`; ends held. Exact at every point that falls on the grid. */
export class Table {
  private readonly from: number;
  private readonly perUnit: number;
  private readonly last: number;
  private readonly values: Float64Array;

  /** `cells` steps between the first and the last point of a line whose first members rise. */
  constructor(points: readonly (readonly [number, number])[], cells: number) {
    const [from, to] = [points[0]?.[0] ?? 0, points.at(-1)?.[0] ?? 0];
    const width = to > from ? (to - from) / cells : 1;
    this.from = from;
    this.perUnit = 1 / width;
    this.last = to > from ? cells : 0;
    this.values = new Float64Array(this.last + 2);
    for (let i = 0; i < this.values.length; i++) this.values[i] = interpolateLine(points, from + i * width);
  }

  /** Value at `x`. */
  at(x: number): number {
    const place = (x - this.from) * this.perUnit;
    if (!(place > 0)) return this.values[0]!;
    if (place >= this.last) return this.values[this.last]!;
    const cell = place | 0;
    const low = this.values[cell]!;
    return low + (this.values[cell + 1]! - low) * (place - cell);
  }

  /** Slope at `x`; 0 beyond the ends. */
  slopeAt(x: number): number {
    const place = (x - this.from) * this.perUnit;
    if (!(place >= 0) || place >= this.last) return 0;
    const cell = place | 0;
    return (this.values[cell + 1]! - this.values[cell]!) * this.perUnit;
  }
}

const made = new WeakMap<readonly (readonly [number, number])[], Table>();

/** The table of a line that many runs share, made once; `cells` is the same wherever one line is asked for. */
export function tableOf(points: readonly (readonly [number, number])[], cells: number): Table {
  const known = made.get(points) ?? new Table(points, cells);
  made.set(points, known);
  return known;
}
