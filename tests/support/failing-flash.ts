// A flash chip for the core rig that can lose its supply in the middle of an operation, keeps weak bits that read differently
// each time until they are written again, and can have bits that stick.
import { MemoryFlash } from "#host/bench/core/flash.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";
import type { Random } from "./random.ts";

/** One operation before it is done. */
export interface Operation {
  readonly kind: "erase" | "program";
  readonly offset: number;
  readonly before: Uint8Array;
  readonly after: Uint8Array;
}

/** What a cut leaves: bytes, and a mask of the bits in them that read by chance. */
export interface Torn {
  readonly contents: Uint8Array;
  readonly weak: Uint8Array;
}

/** Thrown out of the core when the supply fails. */
export class PowerLost extends Error {}

/** Flash contents and weak bits of a region, for going back to. */
export interface Image {
  readonly bytes: Uint8Array;
  readonly weak: ReadonlyMap<number, Uint8Array>;
}

const PAGE = FLASH.page;

/** NOR flash with failures. Weak masks are kept for each page that has any. */
export class FailingFlash extends MemoryFlash {
  /** Asked before each operation; what it returns is left behind and the supply fails. */
  onOperation: ((operation: Operation) => Torn | undefined) | undefined;
  /** Draws how weak bits read. */
  random: Random;
  /** A weak bit reads otherwise than it stands in so many of 4 readings. */
  flips = 2;
  /** Bytes, by offset, of which some bits read the same whatever is done. */
  readonly stuck = new Map<number, { readonly bits: number; readonly high: boolean }>();
  /** Below this offset nothing is weak or stuck: a shortcut for the many reads there. */
  soundUpTo = 0;
  private weak = new Map<number, Uint8Array>();

  constructor(random: Random) {
    super();
    this.random = random;
  }

  /** A copy of what lies between two offsets; both on page starts. */
  save(from: number, to: number): Image {
    const weak = [...this.weak].filter(([page]) => page >= from && page < to);
    return {
      bytes: this.bytes.slice(from, to),
      weak: new Map(weak.map(([page, mask]) => [page, mask.slice()])),
    };
  }

  /** Puts a saved region back; weak bits elsewhere are forgotten. */
  restore(from: number, image: Image): void {
    this.bytes.set(image.bytes, from);
    this.weak = new Map([...image.weak].map(([page, mask]) => [page, mask.slice()]));
  }

  /** Leaves a torn operation behind without running it. */
  tear(offset: number, { contents, weak }: Torn): void {
    this.bytes.set(contents, offset);
    for (let at = 0; at < weak.length; at += PAGE) {
      const mask = weak.subarray(at, at + PAGE);
      if (mask.some((bits) => bits !== 0)) this.weak.set(offset + at, mask.slice());
      else this.weak.delete(offset + at);
    }
  }

  override read(offset: number, length: number): Uint8Array {
    const plain = super.read(offset, length);
    if (offset + length <= this.soundUpTo || (this.weak.size === 0 && this.stuck.size === 0)) return plain;
    const seen = plain.slice();
    for (const [page, mask] of this.weak) this.shake(seen, page - offset, mask);
    for (const [at, { bits, high }] of this.stuck) {
      if (at < offset || at >= offset + length) continue;
      if (high) seen[at - offset]! |= bits;
      else seen[at - offset]! &= ~bits;
    }
    return seen;
  }

  private shake(seen: Uint8Array, at: number, mask: Uint8Array): void {
    const end = Math.min(PAGE, seen.length - at);
    for (let i = Math.max(0, -at); i < end; i++) {
      if (mask[i] !== 0) seen[at + i]! ^= mask[i]! & this.random.bits(this.flips);
    }
  }

  override erase(offset: number): void {
    this.run("erase", offset, new Uint8Array(FLASH.sector).fill(0xff));
    super.erase(offset);
    for (let at = offset; at < offset + FLASH.sector; at += PAGE) this.weak.delete(at);
  }

  override program(offset: number, page: Uint8Array): void {
    this.run("program", offset, page);
    super.program(offset, page);
    const mask = this.weak.get(offset);
    if (mask) for (let i = 0; i < PAGE; i++) mask[i]! &= page[i]!;
  }

  private run(kind: Operation["kind"], offset: number, data: Uint8Array): void {
    if (!this.onOperation) return;
    const before = this.bytes.slice(offset, offset + data.length);
    const after = kind === "erase" ? data : before.map((byte, i) => byte & data[i]!);
    const torn = this.onOperation({ kind, offset, before, after });
    if (!torn) return;
    this.tear(offset, torn);
    throw new PowerLost();
  }
}

/** Every bit on its own: done with a chance of `done` of 4, weak with a chance of `weak` of 4. */
function bitByBit({ before, after }: Operation, random: Random, done: number, weak: number): Torn {
  const contents = before.slice();
  const shaky = new Uint8Array(before.length);
  for (let i = 0; i < before.length; i++) {
    const changing = before[i]! ^ after[i]!;
    if (changing === 0) continue;
    contents[i]! ^= changing & random.bits(done);
    shaky[i]! |= changing & random.bits(weak);
  }
  return { contents, weak: shaky };
}

/** Where a bit matters most: among the first bytes that change. */
const HEADER_BYTES = 32;

/** All done but a few bits, which are not done or weak. */
function nearly({ before, after }: Operation, random: Random, weak: boolean): Torn {
  const contents = after.slice();
  const shaky = new Uint8Array(before.length);
  const changing = [...before.keys()].filter((i) => before[i] !== after[i]);
  for (let n = random.between(1, 3); n > 0 && changing.length > 0; n--) {
    const at = random.pick(random.oneIn(2) ? changing.slice(0, HEADER_BYTES) : changing);
    const bits = before[at]! ^ after[at]!;
    const one = random.oneIn(2) ? bits & -bits : bits;
    if (weak) shaky[at]! |= one;
    else contents[at]! = (contents[at]! & ~one) | (before[at]! & one);
  }
  return { contents, weak: shaky };
}

/** All done as it reads, but what changed holds badly: an erase or a program pulse that ended too soon. */
function allWeak({ before, after }: Operation, random: Random): Torn {
  const some = random.pick([0xff, 0x0f, 0x11]);
  return { contents: after.slice(), weak: before.map((byte, i) => (byte ^ after[i]!) & some) };
}

/** The bytes up to a place done, the others not. */
function prefix({ before, after }: Operation, bytes: number): Torn {
  const contents = before.slice();
  contents.set(after.subarray(0, bytes));
  return { contents, weak: new Uint8Array(before.length) };
}

/** How many of the first tears are cuts byte by byte; an erase is cut every sixteenth byte. */
export const PREFIX_TEARS = PAGE + 1;

/** Numbers of tears to try: every `step`th of those byte by byte, and so many at random of all ways. */
export function tearNumbers(step: number, random: number): number[] {
  const prefixes = Array.from({ length: Math.ceil(PREFIX_TEARS / step) }, (_, i) => i * step);
  return [...prefixes, ...Array.from({ length: random }, (_, i) => PREFIX_TEARS + i)];
}

/** Tear number `n` of an operation: first byte by byte, then at random in several ways. */
export function tearOf(operation: Operation, n: number, random: Random): Torn {
  const step = operation.after.length / PAGE;
  if (n < PREFIX_TEARS) return prefix(operation, n * step);
  const way = n % 5;
  if (way === 0) return bitByBit(operation, random, random.below(5), 0);
  if (way === 1) return bitByBit(operation, random, random.below(5), random.between(1, 4));
  if (way === 2) return nearly(operation, random, false);
  return way === 3 ? nearly(operation, random, true) : allWeak(operation, random);
}
