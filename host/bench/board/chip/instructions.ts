// The instructions that programs are mostly made of, run in stretches between one event and the next; the package runs the others.
import type { RP2040 } from "rp2040js";
import { Accesses } from "./accesses.ts";
import {
  addOrSubtract,
  branchIf,
  dataProcessing,
  extend,
  type Flags,
  highRegisters,
  type Registers,
  shiftImmediate,
  withByte,
} from "./arithmetic.ts";
import { SramCode } from "./fast/sram-code.ts";
import { carriesOrShifts, carryAndShift } from "./flags.ts";
import { moveWords, popWords, pushWords, RETURNS } from "./stack.ts";

type Core = RP2040["core"];

const SRAM_BASE = 0x20000000;
const SP = 13;
const LR = 14;
const PC = 15;
const NOP = 0xbf00;
const WFE = 0xbf20;
const WFE_CYCLES = 2;

/** A core's common instructions: its registers are shared with the package, its flags are fetched and put back. */
export class CommonInstructions {
  /** Instructions that the last stretch had. */
  ran = 0;
  readonly core: Core;
  readonly #r: Registers;
  readonly #f: Flags;
  readonly #code: SramCode;
  readonly #memory: Accesses;

  constructor(core: Core) {
    this.core = core;
    this.#code = new SramCode(core);
    this.#f = this.#code.flags;
    this.#r = new Int32Array(core.registers.buffer, core.registers.byteOffset, core.registers.length);
    this.#memory = new Accesses(core, this.#r);
  }

  /**
   * Runs instructions from SRAM until `most` cycles are over or one comes that is not here. One that reaches a register of the
   * chip runs alone, so that it sees its exact time and nothing runs before its consequences. Returns cycles.
   */
  stretch(most: number): number {
    const cycles = this.#code.isLeft ? 0 : this.compiled(most);
    return cycles > 0 ? cycles : this.#alone();
  }

  /** The part of a stretch that stays in SRAM, whatever the time is. Returns cycles, 0 when the first instruction does not. */
  compiled(most: number): number {
    this.#code.fetchFlags();
    const cycles = this.#code.run(most);
    this.ran = this.#code.ran;
    if (cycles > 0) {
      this.#code.putFlags();
      this.core.cycles += cycles;
    }
    return cycles;
  }

  /**
   * An instruction that the compiled code leaves: 0 cycles when the package has to run it, or when it does not lie in SRAM.
   * None of those sets flags but a return from an exception, which brings its own.
   */
  #alone(): number {
    const r = this.#r;
    const { halves } = this.#memory;
    const pc = r[PC]!;
    const half = (pc - SRAM_BASE) >>> 1;
    this.ran = 0;
    if (half >= halves.length) return 0;
    this.pc = pc;
    r[PC] = pc + 2;
    const cycles = this.#run(halves[half]!);
    if (cycles === 0) r[PC] = pc;
    else this.ran = 1;
    this.core.cycles += cycles;
    return cycles;
  }

  /** Address of the instruction that ran last, -1 before the first. */
  get pc(): number {
    return this.#code.pc;
  }

  set pc(address: number) {
    this.#code.pc = address;
  }

  /** Runs an instruction, wherever it was fetched; 0 cycles, with nothing touched, when the package has to run it. */
  one(opcode: number): number {
    const r = this.#r;
    this.#code.fetchFlags();
    r[PC] = r[PC]! + 2;
    const cycles = this.#run(opcode);
    if (cycles === 0) r[PC] = r[PC]! - 2;
    this.#code.putFlags();
    this.core.cycles += cycles;
    return cycles;
  }

  /**
   * Runs the instruction behind the program counter's two bytes. Returns its cycles; 0, with nothing else touched, when it is
   * not here.
   */
  #run(opcode: number): number {
    const r = this.#r;
    const f = this.#f;
    switch (opcode >> 11) {
      case 0b00000:
      case 0b00001:
      case 0b00010:
        return shiftImmediate(r, f, opcode);
      case 0b00011:
        return addOrSubtract(r, f, opcode);
      case 0b00100:
      case 0b00101:
      case 0b00110:
      case 0b00111:
        return withByte(r, f, opcode);
      case 0b01000:
        return this.#betweenRegisters(opcode);
      case 0b01001:
        return this.#memory.load32((opcode >> 8) & 7, (((r[PC]! + 2) & ~3) + 4 * (opcode & 0xff)) | 0);
      case 0b01010:
      case 0b01011:
        return this.#accessByRegister(opcode);
      case 0b01100:
      case 0b01101:
      case 0b01110:
      case 0b01111:
      case 0b10000:
      case 0b10001:
        return this.#accessByNumber(opcode);
      case 0b10010:
        return this.#memory.store32((opcode >> 8) & 7, (r[SP]! + 4 * (opcode & 0xff)) | 0);
      case 0b10011:
        return this.#memory.load32((opcode >> 8) & 7, (r[SP]! + 4 * (opcode & 0xff)) | 0);
      case 0b10101:
        r[(opcode >> 8) & 7] = r[SP]! + 4 * (opcode & 0xff);
        return 1;
      case 0b10110:
      case 0b10111:
        return this.#miscellaneous(opcode);
      case 0b11000:
      case 0b11001:
        return moveWords(r, this.#memory, opcode);
      case 0b11010:
      case 0b11011:
        return branchIf(r, f, opcode);
      case 0b11100:
        r[PC] = r[PC]! + 2 + ((opcode << 21) >> 20);
        return 2;
      case 0b11110:
        return this.#branchAndLink(opcode);
      default:
        return 0;
    }
  }

  #betweenRegisters(opcode: number): number {
    if ((opcode & 0x400) === 0)
      return carriesOrShifts(opcode)
        ? carryAndShift(this.#r, this.#f, opcode)
        : dataProcessing(this.#r, this.#f, opcode);
    if ((opcode & 0x300) === 0x300) return this.#exchange(opcode);
    return highRegisters(this.#r, this.#f, opcode);
  }

  /** BX and BLX to code; what else a register may hold is left to the package. */
  #exchange(opcode: number): number {
    const r = this.#r;
    const from = (opcode >> 3) & 15;
    const target = r[from]!;
    if ((opcode & 7) !== 0 || from === PC || (target & 1) === 0 || target >>> 0 >= RETURNS) return 0;
    if (opcode & 0x80) r[LR] = r[PC]! | 1;
    r[PC] = target & ~1;
    return 2;
  }

  #accessByRegister(opcode: number): number {
    const memory = this.#memory;
    const address = (this.#r[(opcode >> 3) & 7]! + this.#r[(opcode >> 6) & 7]!) | 0;
    const register = opcode & 7;
    switch ((opcode >> 9) & 7) {
      case 0:
        return memory.store32(register, address);
      case 1:
        return memory.store16(register, address);
      case 2:
        return memory.store8(register, address);
      case 4:
        return memory.load32(register, address);
      case 5:
        return memory.load16(register, address);
      case 6:
        return memory.load8(register, address);
      default:
        return 0;
    }
  }

  /** Loads and stores at a register plus a number in the instruction, counted in units of what is moved. */
  #accessByNumber(opcode: number): number {
    const memory = this.#memory;
    const base = this.#r[(opcode >> 3) & 7]!;
    const number = (opcode >> 6) & 31;
    const register = opcode & 7;
    switch (opcode >> 11) {
      case 0b01100:
        return memory.store32(register, (base + 4 * number) | 0);
      case 0b01101:
        return memory.load32(register, (base + 4 * number) | 0);
      case 0b01110:
        return memory.store8(register, (base + number) | 0);
      case 0b01111:
        return memory.load8(register, (base + number) | 0);
      case 0b10000:
        return memory.store16(register, (base + 2 * number) | 0);
      default:
        return memory.load16(register, (base + 2 * number) | 0);
    }
  }

  #miscellaneous(opcode: number): number {
    const r = this.#r;
    switch ((opcode >> 8) & 15) {
      case 0:
        r[SP] = (r[SP]! + (opcode & 0x80 ? -4 : 4) * (opcode & 0x7f)) & ~3;
        return 1;
      case 2:
        return extend(r, opcode);
      case 4:
      case 5:
        return pushWords(this.core, r, this.#memory, opcode);
      case 12:
      case 13:
        return this.#pop(opcode);
      case 15:
        return opcode === NOP ? 1 : opcode === WFE ? this.#waitForEvent() : 0;
      default:
        return 0;
    }
  }

  #waitForEvent(): number {
    const { core } = this;
    if (core.eventRegistered) core.eventRegistered = false;
    else core.waiting = true;
    return WFE_CYCLES;
  }

  /** A return from an exception brings flags of its own. */
  #pop(opcode: number): number {
    const cycles = popWords(this.core, this.#r, this.#memory, opcode);
    this.#code.fetchFlags();
    return cycles;
  }

  /** BL: both halves of its offset, and where to come back to. */
  #branchAndLink(opcode: number): number {
    const r = this.#r;
    const next = r[PC]!;
    const half = (next - SRAM_BASE) >>> 1;
    const { halves } = this.#memory;
    const second = half < halves.length ? halves[half]! : this.core.readUint16(next >>> 0);
    if ((second & 0xd000) !== 0xd000) return 0;
    const sign = (opcode >> 10) & 1;
    const upper = 1 - (sign ^ ((second >> 13) & 1));
    const other = 1 - (sign ^ ((second >> 11) & 1));
    const high = (sign ? 0xff << 24 : 0) | (upper << 23) | (other << 22);
    r[LR] = (next + 2) | 1;
    r[PC] = next + 2 + (high | ((opcode & 0x3ff) << 12) | ((second & 0x7ff) << 1));
    return 3;
  }
}
