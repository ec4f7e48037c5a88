// The boot ROM as a program sees it: its function table, and stubs whose breakpoints run the model of each function.
import type { RP2040 } from "rp2040js";
import { hex, refuse } from "./fault.ts";
import type { XipWindow } from "./xip.ts";

/** Size of the boot ROM, bytes. */
export const ROM_BYTES = 0x4000;
/** Reads below this address are refused: nothing there is for programs, and null pointers end there. */
export const ROM_FIRST_READABLE = 0x10;

// Layout of the published ROM: magic at 0x10, three 16-bit pointers at 0x14, 0x16 and 0x18. The rest is ours.
const MAGIC_AT = 0x10;
const POINTERS_AT = 0x14;
const TABLE_AT = 0x40;
const DATA_TABLE_AT = 0xf0;
const STUBS_AT = 0x100;
const STUB_BYTES = 8;
const SRAM_BASE = 0x20000000;

const BKPT = 0xbe00;
const BX_LR = 0x4770;
/** Breakpoint number that repeats itself while the flash is busy. */
const POLL = 0xff;

type RomFunction = (rom: BootRom, r: Uint32Array) => void;

const FUNCTIONS: readonly (readonly [code: string, run: RomFunction])[] = [
  ["", (rom, r) => rom.lookUp(r)],
  ["IF", (rom) => rom.xip.connect()],
  ["EX", (rom) => rom.xip.exitXip()],
  ["RE", (rom, r) => rom.xip.erase(r[0]!, r[1]!)],
  ["RP", (rom, r) => rom.xip.program(r[0]!, rom.sram(r[1]!, r[2]!))],
  ["FC", (rom) => rom.xip.flushCache()],
  ["CX", (rom) => rom.xip.open()],
  ["UB", (rom) => rom.onBootloader()],
  ["MC", (rom, r) => rom.sram(r[0]!, r[2]!).set(rom.sram(r[1]!, r[2]!).slice())],
  ["MS", (rom, r) => rom.sram(r[0]!, r[2]!).fill(r[1]! & 0xff)],
];

/** Value by which a program looks a function up: first character plus 256 times the second. */
export function romCode(name: string): number {
  return name.charCodeAt(0) + 256 * name.charCodeAt(1);
}

/** Writes the ROM's contents into the chip and answers its breakpoints. */
export class BootRom {
  readonly xip: XipWindow;
  /** Called when the program asks for the USB bootloader. */
  onBootloader: () => void = () => {};
  /** True while a ROM function waits for the end of a flash operation. */
  waitsForFlash = false;
  readonly #chip: RP2040;

  constructor(chip: RP2040, xip: XipWindow) {
    this.#chip = chip;
    this.xip = xip;
    this.#write();
  }

  #write(): void {
    const halves = new Uint16Array(this.#chip.bootrom.buffer);
    halves.fill(0);
    halves[MAGIC_AT >> 1] = 0x754d;
    halves[(MAGIC_AT >> 1) + 1] = 0x0003;
    halves.set([TABLE_AT, DATA_TABLE_AT, stubAddress(0) | 1], POINTERS_AT >> 1);
    FUNCTIONS.forEach(([code], number) => {
      if (code) halves.set([romCode(code), stubAddress(number) | 1], (TABLE_AT >> 1) + 2 * (number - 1));
      halves.set([BKPT | number, BKPT | POLL, BX_LR], stubAddress(number) >> 1);
    });
  }

  /** Runs the function whose stub hit breakpoint `number`. Throws for a breakpoint that is not the ROM's. */
  breakpoint(number: number): void {
    const { core } = this.#chip;
    if (core.PC >= ROM_BYTES) refuse(`breakpoint ${number}`);
    if (number === POLL) this.#poll();
    else this.#call(number);
  }

  #call(number: number): void {
    const found = FUNCTIONS[number];
    if (!found) refuse(`breakpoint ${number} in ROM`);
    found[1](this, this.#chip.core.registers);
  }

  /** Repeats the poll while the flash is busy; the core may sleep, and take interrupts, meanwhile. */
  #poll(): void {
    const { core } = this.#chip;
    this.waitsForFlash = this.xip.flash.busy;
    if (!this.waitsForFlash) return;
    core.PC -= 2;
    core.waiting = true;
  }

  /** `rom_table_lookup(table, code)`: the pointer of the first entry with that code, 0 when there is none. */
  lookUp(r: Uint32Array): void {
    if (r[0] !== TABLE_AT) refuse(`ROM look-up in a table at ${hex(r[0]!)}`);
    const number = FUNCTIONS.findIndex(([code]) => code !== "" && romCode(code) === r[1]);
    r[0] = number < 0 ? 0 : stubAddress(number) | 1;
  }

  /** A piece of SRAM, for functions that take a pointer. Throws when any of it lies elsewhere. */
  sram(address: number, length: number): Uint8Array {
    const offset = address - SRAM_BASE;
    if (offset < 0 || offset + length > this.#chip.sram.length) {
      refuse(`ROM function given memory at ${hex(address)}, ${length} bytes, outside SRAM`);
    }
    return this.#chip.sram.subarray(offset, offset + length);
  }
}

function stubAddress(number: number): number {
  return STUBS_AT + STUB_BYTES * number;
}
