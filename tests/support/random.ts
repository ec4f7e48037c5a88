// A small seeded random source (xorshift32), so that a million cases cost little and a seed reruns them.

/** Random numbers from a seed; the same seed gives the same row. */
export class Random {
  private state: number;

  constructor(seed: number) {
    this.state = (seed ^ 0x9e3779b9) >>> 0 || 1;
  }

  /** An integer from 0 to `limit` - 1. */
  below(limit: number): number {
    let x = this.state;
    x ^= x << 13;
    x ^= x >>> 17;
    x ^= x << 5;
    this.state = x >>> 0;
    return this.state % limit;
  }

  /** An integer from `low` to `high`, both included. */
  between(low: number, high: number): number {
    return low + this.below(high - low + 1);
  }

  /** Eight bits, each 1 with a chance of `quarters` of 4. */
  bits(quarters: number): number {
    const [a, b] = [this.below(256), this.below(256)];
    return [0, a & b, a, a | b, 255][quarters]!;
  }

  /** True in one of `n` cases. */
  oneIn(n: number): boolean {
    return this.below(n) === 0;
  }

  pick<T>(list: readonly T[]): T {
    return list[this.below(list.length)]!;
  }
}
