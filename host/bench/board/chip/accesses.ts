// Loads and stores as the common instructions make them: SRAM at once; all else over the bus, alone and at its exact time.
import type { RP2040 } from "rp2040js";
import type { Registers } from "./arithmetic.ts";

type Core = RP2040["core"];

const SRAM_BASE = 0x20000000;
const SRAM_BYTES = 0x42000;
/** Cycles of a load or store of SRAM, that of the instruction included. */
const SRAM_CYCLES = 2;

/** Each load and store returns its cycles. */
export class Accesses {
  readonly #core: Core;
  readonly #r: Registers;
  readonly bytes: Uint8Array;
  readonly halves: Uint16Array;
  readonly words: Int32Array;

  constructor(core: Core, registers: Registers) {
    const { buffer, length } = core.rp2040.sram;
    this.#core = core;
    this.#r = registers;
    this.bytes = core.rp2040.sram;
    this.halves = new Uint16Array(buffer, 0, length / 2);
    this.words = new Int32Array(buffer, 0, length / 4);
  }

  /** True when so many words from an address on lie in SRAM, aligned. */
  hasWords(address: number, count: number): boolean {
    const offset = (address - SRAM_BASE) >>> 0;
    return (offset & 3) === 0 && offset + 4 * count <= SRAM_BYTES;
  }

  /** A word of SRAM, which must be one. */
  word(address: number): number {
    return this.words[(address - SRAM_BASE) >> 2]!;
  }

  setWord(address: number, value: number): void {
    this.words[(address - SRAM_BASE) >> 2] = value;
  }

  load32(register: number, address: number): number {
    const offset = (address - SRAM_BASE) >>> 0;
    if ((offset & 3) === 0 && offset < SRAM_BYTES) this.#r[register] = this.words[offset >> 2]!;
    else return this.#loadSlow(register, address, 4);
    return SRAM_CYCLES;
  }

  load16(register: number, address: number): number {
    const offset = (address - SRAM_BASE) >>> 0;
    if ((offset & 1) === 0 && offset < SRAM_BYTES) this.#r[register] = this.halves[offset >> 1]!;
    else return this.#loadSlow(register, address, 2);
    return SRAM_CYCLES;
  }

  load8(register: number, address: number): number {
    const offset = (address - SRAM_BASE) >>> 0;
    if (offset < SRAM_BYTES) this.#r[register] = this.bytes[offset]!;
    else return this.#loadSlow(register, address, 1);
    return SRAM_CYCLES;
  }

  store32(register: number, address: number): number {
    const offset = (address - SRAM_BASE) >>> 0;
    if ((offset & 3) === 0 && offset < SRAM_BYTES) this.words[offset >> 2] = this.#r[register]!;
    else return this.#storeSlow(register, address, 4);
    return SRAM_CYCLES;
  }

  store16(register: number, address: number): number {
    const offset = (address - SRAM_BASE) >>> 0;
    if ((offset & 1) === 0 && offset < SRAM_BYTES) this.halves[offset >> 1] = this.#r[register]!;
    else return this.#storeSlow(register, address, 2);
    return SRAM_CYCLES;
  }

  store8(register: number, address: number): number {
    const offset = (address - SRAM_BASE) >>> 0;
    if (offset < SRAM_BYTES) this.bytes[offset] = this.#r[register]!;
    else return this.#storeSlow(register, address, 1);
    return SRAM_CYCLES;
  }

  #loadSlow(register: number, signed: number, width: number): number {
    const core = this.#core;
    const address = signed >>> 0;
    const cycles = this.#slowCycles(address, false);
    const value =
      width === 4
        ? core.readUint32(address)
        : width === 2
          ? core.readUint16(address)
          : core.readUint8(address);
    this.#r[register] = value;
    return cycles;
  }

  #storeSlow(register: number, signed: number, width: number): number {
    const core = this.#core;
    const address = signed >>> 0;
    const cycles = this.#slowCycles(address, true);
    const value = this.#r[register]! >>> 0;
    if (width === 4) core.writeUint32(address, value);
    else if (width === 2) core.writeUint16(address, value);
    else core.writeUint8(address, value);
    return cycles;
  }

  /** The package knows what a peripheral takes. */
  #slowCycles(address: number, isWrite: boolean): number {
    const inSram = (address - SRAM_BASE) >>> 0 < SRAM_BYTES;
    return inSram ? SRAM_CYCLES : 1 + this.#core.cyclesIO(address, isWrite);
  }
}
