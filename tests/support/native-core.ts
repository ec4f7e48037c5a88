// The control core as the released image has it, native code on the emulated processor, called function by
// function with no interrupt: for comparing it with the WebAssembly it was made from, and for counting cycles.

import { readFileSync } from "node:fs";
import { STARTED_US } from "#host/bench/board/boot.ts";
import { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { CORE_MEMORY_BYTES } from "#shared-schema/model/blocks.ts";

/** At 125 MHz. The clock moves on, as the divider wants; nothing that waits for it is called. */
const NS_PER_CYCLE = 8;
const RAM_BASE = 0x20000000;
const LONGEST_CYCLES = 10_000_000;
const [R0, R1, LR, PC] = [0, 1, 14, 15] as const;

/** Folder of the released image. */
export const RELEASED = new URL("../../firmware/image/", import.meta.url).pathname;

/** A started board whose processor runs nothing but what is called. `folder` holds headgate.uf2 and headgate.elf. */
export class NativeCore {
  readonly #board: EmulatedBoard;
  readonly #instance: number;

  constructor(folder = RELEASED) {
    const file = (name: string): Uint8Array => new Uint8Array(readFileSync(`${folder}/${name}`));
    this.#board = new EmulatedBoard({ image: file("headgate.uf2"), elf: file("headgate.elf") });
    this.#board.powerOn();
    this.#board.runFor(STARTED_US);
    this.#instance = this.#board.symbols.find("core").address;
    const { core } = this.#board.chip.rp2040;
    core.PM = true;
    core.waiting = false;
  }

  /** The core's linear memory. */
  get memory(): Uint8Array {
    return this.#board.chip.rp2040.sram.subarray(0, CORE_MEMORY_BYTES);
  }

  /** Runs a function of the core with one argument to its end. Returns cycles; throws when it does not end. */
  call(symbol: string, argument: number): number {
    return this.run(this.#board.symbols.find(symbol).address, this.#instance, argument);
  }

  /** The first address in RAM behind what the program uses; its stack lies at the very end. */
  get ramEnd(): number {
    return this.#board.symbols.find("bss_end").address;
  }

  /** Memory of the chip from an address in RAM on. */
  ram(address: number, length: number): Uint8Array {
    return this.#board.chip.rp2040.sram.subarray(address - RAM_BASE, address - RAM_BASE + length);
  }

  /** Runs the code at an address with two arguments to its end. Returns cycles; throws when it does not end. */
  run(address: number, first: number, second = 0): number {
    const { runner, rp2040 } = this.#board.chip;
    const { core } = rp2040;
    const back = this.#board.symbols.find("board_main").address;
    core.registers[R0] = first;
    core.registers[R1] = second;
    core.registers[LR] = back | 1;
    core.registers[PC] = address;
    let cycles = 0;
    while (core.registers[PC] !== back) {
      const taken = runner.step();
      cycles += taken;
      this.#board.clock.nanos += taken * NS_PER_CYCLE;
      if (this.#board.chip.runner !== runner)
        throw new Error(`code at 0x${address.toString(16)} resets the chip`);
      if (cycles > LONGEST_CYCLES) throw new Error(`code at 0x${address.toString(16)} does not end`);
    }
    return cycles;
  }
}
