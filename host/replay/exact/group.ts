// The codes of one converter in a tick: each against the mean of those before it, or of how far it was from another code.
import { type Bits, flag, small } from "./bits.ts";

export const CHANNELS = 8;
const CHANNEL_BITS = 3;

/** Means are kept in sixteenths; each new code counts a half, and one that is far off begins a new mean. */
const PART_SHIFT = 4;
const WEIGHT_SHIFT = 1;
const FAR = 4;

/** What each channel is expected to be, while its level is low and while it is high. */
export class Group {
  private readonly means: readonly [number, number][];

  /** Numbers before the stream. */
  constructor(numbers: readonly number[]) {
    this.means = numbers.map((number) => [number << PART_SHIFT, number << PART_SHIFT]);
  }

  /** Writes or reads eight numbers, in place. Bit n of `levels`: channel n has its high level. */
  code(io: Bits, numbers: number[], levels: number): void {
    const expected = this.means.map(
      (mean, n) => (mean[levelOf(levels, n)] + (1 << (PART_SHIFT - 1))) >> PART_SHIFT,
    );
    const off = codeAll(
      io,
      numbers.map((number, n) => number - expected[n]!),
    );
    off.forEach((one, n) => {
      numbers[n] = expected[n]! + one;
      this.note(n, levelOf(levels, n), numbers[n]!, Math.abs(one) > FAR);
    });
  }

  private note(n: number, level: 0 | 1, number: number, far: boolean): void {
    const mean = this.means[n]!;
    const exact = number << PART_SHIFT;
    mean[level] = far ? exact : mean[level] + ((exact - mean[level]) >> WEIGHT_SHIFT);
  }
}

const levelOf = (levels: number, n: number): 0 | 1 => ((levels >> n) & 1) as 0 | 1;

/** One bit while all are 0; six while a single one is 1 off; else each by itself. */
function codeAll(io: Bits, off: readonly number[]): number[] {
  const moved = off.filter((one) => one !== 0);
  if (!flag(io, moved.length !== 0)) return off.map(() => 0);
  const single = moved.length === 1 && Math.abs(moved[0]!) === 1;
  if (flag(io, !single)) return off.map((one) => small(io, one));
  const channel = io.bits(CHANNEL_BITS, off.indexOf(moved[0]!));
  const one = flag(io, moved[0]! < 0) ? -1 : 1;
  return off.map((_, n) => (n === channel ? one : 0));
}
