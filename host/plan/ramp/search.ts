/**
 * Of all lines with knots on a grid of axis values and shares that never exceed the limit at any sample, the one of greatest
 * weighted area, by dynamic programming over (knots used, axis value, share).
 */
import type { FitEffort, LimitSample, Ramp } from "./types.ts";

interface Knots {
  readonly index: Int32Array;
  readonly levels: Float64Array;
}

/** Places spread so that the limit's own movement and the axis are both covered evenly. */
function candidateAxisValues(samples: readonly LimitSample[], wanted: number): Int32Array {
  const last = samples.length - 1;
  const span = samples[last]!.at - samples[0]!.at;
  const way = [0];
  for (let i = 1; i <= last; i++) {
    const [a, b] = [samples[i - 1]!, samples[i]!];
    way.push(way[i - 1]! + (b.at - a.at) / span + Math.min(0.2, Math.abs(b.limit - a.limit)));
  }
  const chosen = new Set([0, last]);
  for (let i = 1; i <= last; i++) {
    if (Math.abs(samples[i]!.limit - samples[i - 1]!.limit) > 0.05) chosen.add(i - 1).add(i);
  }
  let next = 0;
  for (let i = 0; i <= last; i++) {
    if (way[i]! < (next * way[last]!) / wanted) continue;
    chosen.add(i);
    next = Math.floor((way[i]! * wanted) / way[last]!) + 1;
  }
  return Int32Array.from([...chosen].sort((a, b) => a - b));
}

function knotsOf(samples: readonly LimitSample[], effort: FitEffort): Knots {
  const index = candidateAxisValues(samples, effort.axisValues);
  const levels = new Float64Array(index.length * effort.values);
  for (const [p, i] of index.entries()) {
    for (let j = 0; j < effort.values; j++) {
      levels[p * effort.values + j] = samples[i]!.limit * (1 - (j / (effort.values - 1)) ** 1.7);
    }
  }
  return { index, levels };
}

/** Running sums of weight, and of weight times axis value, for the area under a segment in constant time. */
function prefixSums(samples: readonly LimitSample[]): { weight: Float64Array; moment: Float64Array } {
  const weight = new Float64Array(samples.length + 1);
  const moment = new Float64Array(samples.length + 1);
  for (const [i, s] of samples.entries()) {
    weight[i + 1] = weight[i]! + s.weight;
    moment[i + 1] = moment[i]! + s.weight * s.at;
  }
  return { weight, moment };
}

/** One search; `run` gives the best ramp of at most `effort.points` knots, from the first to the last sample. */
export class Search {
  private readonly best: Float64Array;
  private readonly from: Int32Array;
  private readonly knots: Knots;
  private readonly sums: ReturnType<typeof prefixSums>;
  private readonly states: number;
  private readonly samples: readonly LimitSample[];
  private readonly effort: FitEffort;

  constructor(samples: readonly LimitSample[], effort: FitEffort) {
    this.samples = samples;
    this.effort = effort;
    this.knots = knotsOf(samples, effort);
    this.sums = prefixSums(samples);
    this.states = this.knots.levels.length;
    this.best = new Float64Array(this.states * effort.points).fill(Number.NEGATIVE_INFINITY);
    this.from = new Int32Array(this.states * effort.points).fill(-1);
  }

  run(): Ramp {
    for (let j = 0; j < this.effort.values; j++) this.best[j * this.effort.points] = 0;
    for (let p = 0; p < this.knots.index.length - 1; p++) {
      for (let j = 0; j < this.effort.values; j++) this.extend(p, j);
    }
    return this.trace();
  }

  /** All segments from one knot: the steepest allowed slope only falls as the segment grows. */
  private extend(p: number, j: number): void {
    const { values } = this.effort;
    const state = p * values + j;
    if (!this.isReached(state)) return;
    const { index, levels } = this.knots;
    const start = index[p]!;
    const x0 = this.samples[start]!.at;
    const y0 = levels[state]!;
    let slope = Number.POSITIVE_INFINITY;
    let done = start;
    for (let q = p + 1; q < index.length; q++) {
      for (; done < index[q]!; ) {
        const s = this.samples[++done]!;
        slope = Math.min(slope, (s.limit - y0) / (s.at - x0));
      }
      const width = this.samples[index[q]!]!.at - x0;
      const highest = y0 + slope * width;
      if (highest < 0) break;
      for (let k = 0; k < values; k++) {
        const y1 = levels[q * values + k]!;
        if (y1 > highest + 1e-9) continue;
        this.relax(state, q * values + k, this.area(start, done, y0, y1));
      }
    }
  }

  private isReached(state: number): boolean {
    const { points } = this.effort;
    for (let n = state * points; n < (state + 1) * points; n++)
      if (this.best[n]! > Number.NEGATIVE_INFINITY) return true;
    return false;
  }

  /** Weighted area under a segment from sample `start` (not counted) to `end`, without what lies under the least share. */
  private area(start: number, end: number, y0: number, y1: number): number {
    const { least } = this.effort;
    if (y0 < least && y1 < least) return 0;
    const x0 = this.samples[start]!.at;
    const width = this.samples[end]!.at - x0;
    let [from, to] = [start, end];
    if (y0 < least) from = Math.max(from, this.before(x0 + (width * (least - y0)) / (y1 - y0)));
    else if (y1 < least) to = Math.min(to, this.before(x0 + (width * (least - y0)) / (y1 - y0)));
    const weight = this.sums.weight[to + 1]! - this.sums.weight[from + 1]!;
    const moment = this.sums.moment[to + 1]! - this.sums.moment[from + 1]!;
    return y0 * weight + ((y1 - y0) * (moment - x0 * weight)) / width;
  }

  /** Last sample before an axis value. */
  private before(at: number): number {
    let [low, high] = [0, this.samples.length - 1];
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (this.samples[middle]!.at < at) low = middle;
      else high = middle;
    }
    return low;
  }

  private relax(from: number, to: number, gain: number): void {
    const { points } = this.effort;
    for (let n = 1; n < points; n++) {
      const value = this.best[from * points + n - 1]! + gain;
      if (value > this.best[to * points + n]!) {
        this.best[to * points + n] = value;
        this.from[to * points + n] = from;
      }
    }
  }

  private trace(): Ramp {
    const { points, values } = this.effort;
    const final = this.states - values;
    let [state, n, top] = [final, 1, Number.NEGATIVE_INFINITY];
    for (let s = final; s < this.states; s++) {
      for (let k = 1; k < points; k++) {
        const value = this.best[s * points + k]!;
        if (value > top + 1e-12) [state, n, top] = [s, k, value];
      }
    }
    const ramp: [number, number][] = [];
    for (; state >= 0; n--) {
      ramp.unshift([
        this.samples[this.knots.index[Math.floor(state / values)]!]!.at,
        this.knots.levels[state]!,
      ]);
      if (n === 0) break;
      state = this.from[state * points + n]!;
    }
    return ramp;
  }
}
