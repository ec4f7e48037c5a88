// Bits of the ticks, the lowest first, into one page after the other.
import { putShort } from "./bytes";
import * as B from "./generated/blocks";
import { beginTicks, CONTENTS, COUNT } from "./pages";

class Bits {
  /** Bits that do not fill a byte yet, and how many. */
  held: u32;
  count: u32;
  /** Where the next byte goes, and the end of its page. */
  at: usize;
  end: usize;
  /** Pages of this piece, and ticks that are in it whole. */
  pages: u32;
  ticks: u32;
}

const BITS: usize = memory.data(24, 4);
export const bits = changetype<Bits>(BITS);

/** Writes how many ticks have ended by the end of the page that is being filled. */
export function closePage(): void {
  putShort(bits.end, bits.ticks);
}

function nextPage(): void {
  const page = beginTicks();
  bits.at = page + CONTENTS;
  bits.end = page + COUNT;
  bits.pages += 1;
}

/** Begins a piece, at the beginning of a page. */
export function beginPiece(): void {
  bits.held = 0;
  bits.count = 0;
  bits.pages = 0;
  bits.ticks = 0;
  nextPage();
  store<u8>(bits.end - COUNT + 3, B.LOG_PAGE_PIECE as u8);
}

function putByte(byte: u32): void {
  if (bits.at === bits.end) {
    closePage();
    nextPage();
  }
  store<u8>(bits.at, byte as u8);
  bits.at += 1;
}

/** Appends 32 bits where no byte is begun, at the beginning of a piece: pages have room for whole words. */
export function putWhole(value: u32): void {
  if (bits.at === bits.end) {
    closePage();
    nextPage();
  }
  store<u32>(bits.at, value);
  bits.at += 4;
}

/** Fills up the last byte of a piece, and closes its page. */
export function endPiece(): void {
  if (bits.count) putByte(bits.held);
  bits.count = 0;
  closePage();
}

/** Appends up to 24 bits. */
export function put(count: u32, value: u32): void {
  let held = bits.held | (value << bits.count);
  let left = bits.count + count;
  while (left >= 8) {
    putByte(held & 0xff);
    held >>= 8;
    left -= 8;
  }
  bits.held = held;
  bits.count = left;
}

/** Appends 32 bits. */
export function putWord(value: u32): void {
  put(16, value & 0xffff);
  put(16, value >> 16);
}

/** Quotients of so much and more are written as that many ones, and then the number in 32 bits. */
const MOST: u32 = 12;
/** A number counts as no larger than this for what is expected of the next. */
const LARGEST: u32 = 1 << 11;
/** Mean size, in sixteenths, up to which a number is expected to be near 0. */
const NEAR: u32 = 12;
const WEIGHT_SHIFT: u32 = 4;

/** Appends a signed number as a quotient in ones and a rest, by the mean size of those before it, which lies at `size` and is moved. */
export function putNumber(size: usize, value: i32): void {
  const mean = load<i32>(size);
  let rest: u32 = 0;
  while (NEAR << rest < (mean as u32)) rest++;
  const folded = ((value << 1) ^ (value >> 31)) as u32;
  const quotient = folded >> rest;
  if (quotient < MOST) {
    put(quotient + 1, (1 << quotient) - 1);
    put(rest, folded & ((1 << rest) - 1));
  } else {
    put(MOST, (1 << MOST) - 1);
    putWord(value as u32);
  }
  const magnitude = min<u32>(abs<i32>(value) as u32, LARGEST) as i32;
  store<i32>(size, mean + (((magnitude << 4) - mean) >> WEIGHT_SHIFT));
}
