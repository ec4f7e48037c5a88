// The flash chip: programming only clears bits, erasing sets whole sectors, both take time and can be cut short.
import { FLASH } from "#shared-schema/model/blocks.ts";
import { refuse } from "../chip/fault.ts";
import type { VirtualAlarm, VirtualClock } from "../clock.ts";
import { type PartTimes, TYPICAL } from "../part-times.ts";

/** How long the flash chip's operations take. */
export type FlashTimes = Pick<PartTimes, "sectorEraseNs" | "pageProgramNs">;

/** One operation inside the flash chip. `before` and `after` are copies of the bytes it touches. */
export interface FlashOperation {
  readonly kind: "erase" | "program";
  /** Offset from the start of the flash. */
  readonly offset: number;
  readonly before: Uint8Array;
  readonly after: Uint8Array;
  readonly durationNs: number;
  /** Counts all operations of this flash from 0. */
  readonly index: number;
}

/** How an operation ends when the supply fails in it: after `afterNs`, leaving `contents` in its place. */
export interface PowerCut {
  readonly afterNs: number;
  readonly contents: Uint8Array;
  /** Bits of the contents that read by chance from then on, until they are programmed or erased. */
  readonly weak?: Uint8Array;
}

interface Running {
  readonly operation: FlashOperation;
  readonly data: Uint8Array;
  readonly startNs: number;
  readonly cut: PowerCut | undefined;
}

/** 2 MiB of NOR flash. Keeps its contents over everything but its own operations. */
export class NorFlash {
  readonly bytes = new Uint8Array(FLASH.bytes).fill(0xff);
  /** Erases of each sector since this object was made. */
  readonly erases = new Uint32Array(FLASH.bytes / FLASH.sector);
  /** Asked before each operation; a returned cut makes the supply fail inside it. */
  onOperation: ((operation: FlashOperation) => PowerCut | undefined) | undefined;
  /** Called when a cut asked for by `onOperation` strikes. */
  onPowerCut: () => void = () => {};
  /** Draws how weak bits read: 32 bits, a one flips. */
  shake: () => number = () => 0;
  /** Weak bits, by page number. */
  readonly #weak = new Map<number, Uint8Array>();
  readonly #view = new DataView(this.bytes.buffer);
  readonly #clock: VirtualClock;
  readonly #done: VirtualAlarm;
  #queue: Omit<FlashOperation, "before" | "after" | "index">[] = [];
  #data: Uint8Array[] = [];
  #running: Running | undefined;
  #count = 0;

  /** How long operations take that are begun from now on. */
  times: FlashTimes;

  constructor(clock: VirtualClock, times: FlashTimes = TYPICAL) {
    this.times = times;
    this.#clock = clock;
    this.#done = clock.createAlarm(() => this.#finish());
  }

  /** True while an operation runs: nothing can be read then. */
  get busy(): boolean {
    return this.#running !== undefined;
  }

  /** End of the running operation, ns; now when idle. */
  get busyUntilNs(): number {
    return this.#running ? this.#done.ns : this.#clock.nanos;
  }

  /** How many operations were begun so far. */
  get operations(): number {
    return this.#count;
  }

  /** Little-endian value of 1, 2 or 4 bytes. Throws when the chip is busy or the offset is past its end. */
  read(offset: number, width: number): number {
    if (this.#running) refuse(`flash read at offset 0x${offset.toString(16)} while it is busy`);
    if (offset + width > FLASH.bytes) refuse(`flash read past the end, at offset 0x${offset.toString(16)}`);
    const flips = this.#weak.size === 0 ? 0 : this.#flips(offset, width);
    if (width === 4) return (this.#view.getUint32(offset, true) ^ flips) >>> 0;
    return (width === 2 ? this.#view.getUint16(offset, true) : this.bytes[offset]!) ^ flips;
  }

  #flips(offset: number, width: number): number {
    const mask = this.#weak.get(Math.floor(offset / FLASH.page));
    if (!mask) return 0;
    let bits = 0;
    for (let i = width - 1; i >= 0; i--) bits = (bits << 8) | mask[(offset % FLASH.page) + i]!;
    return bits === 0 ? 0 : bits & this.shake();
  }

  /** Bits that an operation has moved hold; those that a cut has left halfway may not. */
  #settle({ kind, offset, after }: FlashOperation, data: Uint8Array, weak: Uint8Array | undefined): void {
    for (let at = 0; at < after.length; at += FLASH.page) {
      const page = (offset + at) / FLASH.page;
      const mask = weak?.slice(at, at + FLASH.page);
      const old = this.#weak.get(page);
      if (mask?.some((bits) => bits !== 0)) this.#weak.set(page, mask);
      else if (kind === "erase" || weak) this.#weak.delete(page);
      else
        old?.forEach((bits, i) => {
          old[i] = bits & data[at + i]!;
        });
    }
  }

  /** Erases whole sectors, one after the other. */
  erase(offset: number, count: number): void {
    this.#check(offset, count, FLASH.sector);
    for (let at = offset; at < offset + count; at += FLASH.sector) {
      this.#enqueue("erase", at, this.times.sectorEraseNs, new Uint8Array(FLASH.sector).fill(0xff));
    }
  }

  /** Programs whole pages, one after the other: each stored bit becomes the old bit AND the new one. */
  program(offset: number, data: Uint8Array): void {
    this.#check(offset, data.length, FLASH.page);
    for (let at = 0; at < data.length; at += FLASH.page) {
      this.#enqueue("program", offset + at, this.times.pageProgramNs, data.slice(at, at + FLASH.page));
    }
  }

  /** The processor was reset: the operation in the flash runs on, what had not been begun is lost. */
  processorReset(): void {
    this.#queue = [];
    this.#data = [];
  }

  /** The supply failed: the running operation stays half done, byte by byte from its start. */
  powerLost(): void {
    this.processorReset();
    const running = this.#running;
    if (!running) return;
    const { before, after, offset, durationNs } = running.operation;
    const share = (this.#clock.nanos - running.startNs) / durationNs;
    const reached = Math.floor(share * after.length);
    this.bytes.set(before, offset);
    this.bytes.set(after.subarray(0, reached), offset);
    this.#done.cancel();
    this.#running = undefined;
  }

  #check(offset: number, count: number, unit: number): void {
    if (offset % unit !== 0 || count % unit !== 0) {
      refuse(`flash offset 0x${offset.toString(16)} and count ${count} must be multiples of ${unit}`);
    }
    if (offset < 0 || offset + count > FLASH.bytes) {
      refuse(`flash operation past the end, at 0x${offset.toString(16)}`);
    }
  }

  #enqueue(kind: "erase" | "program", offset: number, durationNs: number, data: Uint8Array): void {
    this.#queue.push({ kind, offset, durationNs });
    this.#data.push(data);
    if (!this.#running) this.#begin();
  }

  #begin(): void {
    const next = this.#queue.shift();
    const data = this.#data.shift();
    if (!next || !data) return;
    const before = this.bytes.slice(next.offset, next.offset + data.length);
    const after = next.kind === "erase" ? data : before.map((byte, i) => byte & data[i]!);
    const operation = { ...next, before, after, index: this.#count++ };
    const cut = this.onOperation?.(operation);
    this.#running = { operation, data, startNs: this.#clock.nanos, cut };
    this.#done.schedule(cut ? cut.afterNs : next.durationNs);
  }

  #finish(): void {
    const { operation, data, cut } = this.#running!;
    this.#running = undefined;
    this.#settle(operation, data, cut?.weak);
    this.bytes.set(cut ? cut.contents : operation.after, operation.offset);
    if (operation.kind === "erase" && !cut) this.erases[operation.offset / FLASH.sector]!++;
    if (cut) this.onPowerCut();
    else this.#begin();
  }
}
