// Numbers as rows of bits, the lowest bit first. Writer and reader have the same methods, so that one description of a stream serves both.

/** Either end of a stream: each method writes its number, or reads one in its place; what is on the stream is returned. */
export interface Bits {
  /** An unsigned number of up to 32 bits. */
  bits(count: number, value: number): number;
}

/** Collects bits. */
export class BitWriter implements Bits {
  private readonly bytes: number[] = [];
  private held = 0;
  private count = 0;

  bits(count: number, value: number): number {
    for (let left = count, rest = value >>> 0; left > 0; ) {
      const taken = Math.min(left, 8 - this.count);
      this.held |= (rest & ((1 << taken) - 1)) << this.count;
      this.count += taken;
      rest = taken === 32 ? 0 : rest >>> taken;
      left -= taken;
      if (this.count === 8) this.flush();
    }
    return value >>> 0;
  }

  private flush(): void {
    this.bytes.push(this.held);
    this.held = 0;
    this.count = 0;
  }

  /** Bits so far. */
  get length(): number {
    return 8 * this.bytes.length + this.count;
  }

  /** All bytes; the last is filled up with zeros. */
  end(): Uint8Array {
    return Uint8Array.from(this.count > 0 ? [...this.bytes, this.held] : this.bytes);
  }
}

/** Gives bits back. Throws a RangeError behind the end. */
export class BitReader implements Bits {
  private readonly bytes: Uint8Array;
  private at = 0;

  constructor(bytes: Uint8Array) {
    this.bytes = bytes;
  }

  bits(count: number, _value?: number): number {
    if (this.at + count > 8 * this.bytes.length) throw new RangeError("the stream ends too early");
    let value = 0;
    for (let got = 0; got < count; ) {
      const taken = Math.min(count - got, 8 - (this.at & 7));
      const part = (this.bytes[this.at >> 3]! >> (this.at & 7)) & ((1 << taken) - 1);
      value += part * 2 ** got;
      got += taken;
      this.at += taken;
    }
    return value;
  }
}

/** One bit. */
export const flag = (io: Bits, value: boolean): boolean => io.bits(1, value ? 1 : 0) === 1;

const SMALL_MOST = 4;
/** Any difference of two differences of numbers of 12 bits. */
const CODE_BITS = 15;
const CODE_BIAS = 1 << (CODE_BITS - 1);

/** A signed number that is mostly 0: one bit for 0, three for 1, up to six for 4; any other within 16384 takes 20. */
export function small(io: Bits, value: number): number {
  const size = Math.min(Math.abs(value), SMALL_MOST + 1);
  let ones = 0;
  while (ones <= SMALL_MOST && flag(io, size > ones)) ones++;
  if (ones === 0) return 0;
  if (ones > SMALL_MOST) return io.bits(CODE_BITS, value + CODE_BIAS) - CODE_BIAS;
  return flag(io, value < 0) ? -ones : ones;
}

const MIDDLING_BITS = 9;
const MIDDLING_BIAS = 1 << (MIDDLING_BITS - 1);
const MOSTLY_BITS = 4;
const MOSTLY_BIAS = 1 << (MOSTLY_BITS - 1);

const lies = (value: number, bias: number): boolean => value >= -bias && value < bias;

/** A signed number of 32 bits that is mostly within 8, else mostly within 256: 5, 11, or 34 bits. */
export function middling(io: Bits, value: number): number {
  if (!flag(io, !lies(value, MOSTLY_BIAS))) return io.bits(MOSTLY_BITS, value + MOSTLY_BIAS) - MOSTLY_BIAS;
  if (!flag(io, !lies(value, MIDDLING_BIAS)))
    return io.bits(MIDDLING_BITS, value + MIDDLING_BIAS) - MIDDLING_BIAS;
  return io.bits(32, value) | 0;
}
