// A flash chip in memory for the core rig: erase sets a sector to ones, programming only clears bits.
import { FLASH } from "#shared-schema/model/blocks.ts";

/** NOR flash of the board's size, erased. */
export class MemoryFlash {
  readonly bytes = new Uint8Array(FLASH.bytes).fill(0xff);

  /** Bytes as they read now; not a copy. */
  read(offset: number, length: number): Uint8Array {
    return this.bytes.subarray(offset, offset + length);
  }

  /** Erases the sector at `offset`. Throws a RangeError outside the data area or off a sector's start. */
  erase(offset: number): void {
    this.check(offset, FLASH.sector);
    this.bytes.fill(0xff, offset, offset + FLASH.sector);
  }

  /** Programs one page; bits that are 0 stay 0. Throws a RangeError outside the data area or off a page's start. */
  program(offset: number, page: Uint8Array): void {
    this.check(offset, FLASH.page);
    page.forEach((byte, i) => {
      this.bytes[offset + i]! &= byte;
    });
  }

  private check(offset: number, unit: number): void {
    if (offset < FLASH.dataStart || offset + unit > FLASH.bytes || offset % unit !== 0) {
      throw new RangeError(`flash operation at ${offset} is not allowed`);
    }
  }
}
