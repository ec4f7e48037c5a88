// Random numbers from a seed: the same seed gives the same row, run by run, however the runs are divided.

/** A well-mixed word of two, so that neighbouring runs have nothing in common. */
function mixed(seed: number, run: number): number {
  let x = (Math.imul(seed | 0, 0x9e3779b1) ^ Math.imul(run + 1, 0x85ebca6b)) >>> 0;
  for (const [shift, factor] of [
    [16, 0x7feb352d],
    [15, 0x846ca68b],
  ] as const)
    x = Math.imul(x ^ (x >>> shift), factor) >>> 0;
  return (x ^ (x >>> 16)) >>> 0 || 1;
}

/** The row of one run of a spread. */
export class RunRandom {
  private state: number;

  constructor(seed: number, run: number) {
    this.state = mixed(seed, run);
  }

  /** From 0 up to, but without, 1. */
  unit(): number {
    let x = this.state;
    x ^= x << 13;
    x ^= x >>> 17;
    x ^= x << 5;
    this.state = x >>> 0;
    return this.state / 2 ** 32;
  }

  /** Anything between two ends, all alike. */
  between(low: number, high: number): number {
    return low + (high - low) * this.unit();
  }

  /** About normal: mean 0, deviation 1, never beyond 3; no function whose last digit depends on the machine. */
  normal(): number {
    return 2 * (this.unit() + this.unit() + this.unit()) - 3;
  }
}
