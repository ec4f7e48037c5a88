// Numbers out of rows of bits, the lowest bit first, as firmware/core/bits.ts has written them.

/** Gives bits back. Throws a RangeError behind the end. */
export class BitReader {
  private readonly bytes: Uint8Array;
  private at = 0;

  constructor(bytes: Uint8Array) {
    this.bytes = bytes;
  }

  /** An unsigned number of up to 32 bits. */
  bits(count: number): number {
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

const MOST = 12;
const LARGEST = 1 << 11;
const NEAR = 12;
const PART_SHIFT = 4;
const WEIGHT_SHIFT = 4;
const WORD_BITS = 32;

/** Signed numbers of one kind, each written by the mean size of those before it, in sixteenths. */
export class Numbers {
  private mean = 0;

  next(reader: BitReader): number {
    const value = this.read(reader);
    const size = Math.min(Math.abs(value), LARGEST);
    this.mean += ((size << PART_SHIFT) - this.mean) >> WEIGHT_SHIFT;
    return value;
  }

  private read(reader: BitReader): number {
    let rest = 0;
    while (NEAR << rest < this.mean) rest++;
    let quotient = 0;
    while (quotient < MOST && reader.bits(1) === 1) quotient++;
    if (quotient === MOST) return reader.bits(WORD_BITS) | 0;
    const folded = (quotient << rest) | reader.bits(rest);
    return (folded >>> 1) ^ -(folded & 1);
  }
}
