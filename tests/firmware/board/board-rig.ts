// The released image on the emulated board with the core's word replaced just before the board layer acts on it, so that
// the board layer is tested on its own.

import { readFileSync } from "node:fs";
import { RESTED_US } from "#host/bench/board/boot.ts";
import { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import type { PartTimes } from "#host/bench/board/part-times.ts";
import { type Block, BOOT, CORE_MEMORY_BYTES, INPUTS, OUTPUTS } from "#shared-schema/model/blocks.ts";
import { FIELD_BYTES } from "#shared-schema/model/layout.ts";

const released = (name: string): Uint8Array =>
  new Uint8Array(readFileSync(new URL(`../../../firmware/image/${name}`, import.meta.url)));
const image = released("headgate.uf2");
const elf = released("headgate.elf");
const BYTES = FIELD_BYTES;

const LINK_REGISTER = 14;
const PROGRAM_COUNTER = 15;

/** What the core would have put into its outputs; `ackedCuts` follows the cuts unless it is given. */
export interface Outputs {
  pulse: number[];
  top: number;
  retard: number;
  flags: number;
  /** Stages that flow, one bit each; those with a pulse unless it is given. */
  runs?: number;
  ackedCuts?: number;
  lockout?: number;
  gaps?: number;
}

/** Everything off at 20 Hz. */
export const ALL_OFF: Outputs = { pulse: [0, 0, 0, 0, 0, 0, 0, 0], top: 24_999, retard: 0, flags: 0 };

/** A board under test. */
export class BoardRig {
  readonly board: EmulatedBoard;
  outputs: Outputs = structuredClone(ALL_OFF);

  constructor(parts: Partial<PartTimes> = {}) {
    this.board = new EmulatedBoard({ image, elf, parts });
    this.board.powerOn();
    this.board.watch("stages_apply", () => this.#putOutputs());
    this.board.runFor(RESTED_US);
  }

  /** Everything off again, for the next of several runs on one board. */
  rest(): void {
    this.outputs = structuredClone(ALL_OFF);
    this.board.runFor(2_000);
    this.board.pins.forget();
  }

  get memory(): DataView {
    return new DataView(this.board.chip.rp2040.sram.buffer, 0, CORE_MEMORY_BYTES);
  }

  /** A field of a block as the core sees it now. */
  field(block: Block, name: string, index = 0): number {
    const { address, type } = place(block, name);
    const at = address + index * BYTES[type];
    if (BYTES[type] === 4) return this.memory.getUint32(at, true);
    return BYTES[type] === 2 ? this.memory.getUint16(at, true) : this.memory.getUint8(at);
  }

  input(name: string, index = 0): number {
    return this.field(INPUTS, name, index);
  }

  boot(name: string, index = 0): number {
    return this.field(BOOT, name, index);
  }

  /** Calls a function of the program, once, in place of the core's next `serve`, which then has nothing to send. */
  callInsteadOfServe(symbol: string, args: readonly number[]): void {
    const { board } = this;
    board.watch("w2c_core_serve", () => {
      board.unwatch("w2c_core_serve");
      const { registers } = board.chip.rp2040.core;
      const back = registers[LINK_REGISTER]! & ~1;
      registers.set(args);
      registers[PROGRAM_COUNTER] = board.symbols.find(symbol).address;
      board.watch(back, () => {
        board.unwatch(back);
        board.chip.rp2040.core.registers[0] = 0;
      });
    });
  }

  #putOutputs(): void {
    const { outputs, memory } = this;
    const put16 = (name: string, value: number, index = 0): void =>
      memory.setUint16(place(OUTPUTS, name).address + 2 * index, value, true);
    outputs.pulse.forEach((value, i) => {
      put16("pulse", value, i);
    });
    put16("top", outputs.top);
    put16("retard", outputs.retard);
    memory.setUint32(place(OUTPUTS, "flags").address, outputs.flags, true);
    memory.setUint32(place(OUTPUTS, "gaps").address, outputs.gaps ?? 0, true);
    memory.setUint32(place(OUTPUTS, "lockout").address, outputs.lockout ?? 0, true);
    const pulsed = outputs.pulse.reduce((bits, width, i) => (width > 0 ? bits | (1 << (i >> 1)) : bits), 0);
    memory.setUint32(place(OUTPUTS, "runs").address, outputs.runs ?? pulsed, true);
    memory.setUint32(place(OUTPUTS, "ackedCuts").address, outputs.ackedCuts ?? this.input("armCuts"), true);
  }
}

function place(block: Block, name: string): { address: number; type: keyof typeof BYTES } {
  let address = block.address;
  for (const { name: found, type, count = 1 } of block.fields) {
    address = Math.ceil(address / BYTES[type]) * BYTES[type];
    if (found === name) return { address, type };
    address += BYTES[type] * count;
  }
  throw new Error(`block ${block.name} has no field ${name}`);
}
