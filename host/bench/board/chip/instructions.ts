// The instructions that programs are mostly made of, chosen by a jump and not by trying each pattern in turn; the package runs the others.
import type { RP2040 } from "rp2040js";
import { accessByNumber, accessByRegister, load32, store32 } from "./accesses.ts";
import {
  addOrSubtract,
  dataProcessing,
  highRegisters,
  lowRegister,
  shiftImmediate,
  withByte,
} from "./arithmetic.ts";

type Core = RP2040["core"];

const SP = 13;
const LR = 14;
const PC = 15;
const ALWAYS = 14;

function extend(core: Core, opcode: number): number {
  const value = lowRegister(core, opcode, 3);
  const kind = (opcode >> 6) & 3;
  const bits = kind & 1 ? 24 : 16;
  core.registers[opcode & 7] = kind & 2 ? (value << bits) >>> bits : (value << bits) >> bits;
  return 1;
}

/** Stores upwards from the lowest address, so that a stack that is full faults before anything is written. */
function push(core: Core, opcode: number): number {
  const { registers } = core;
  let cycles = 1;
  for (let bits = opcode & 0xff; bits > 0; bits &= bits - 1) cycles++;
  const lowest = registers[SP]! - 4 * (cycles - 1 + ((opcode >> 8) & 1));
  let address = lowest;
  for (let n = 0; n < 8; n++)
    if (opcode & (1 << n)) {
      core.writeUint32(address, registers[n]!);
      address += 4;
    }
  if (opcode & 0x100) core.writeUint32(address, registers[LR]!);
  registers[SP] = lowest;
  return cycles;
}

function pop(core: Core, opcode: number): number {
  const { registers } = core;
  let address = registers[SP]!;
  let cycles = 1;
  for (let n = 0; n < 8; n++)
    if (opcode & (1 << n)) {
      registers[n] = core.readUint32(address);
      address += 4;
      cycles++;
    }
  if ((opcode & 0x100) === 0) {
    registers[SP] = address;
    return cycles;
  }
  registers[SP] = address + 4;
  core.BXWritePC(core.readUint32(address));
  return cycles + 2;
}

function miscellaneous(core: Core, opcode: number): number {
  switch ((opcode >> 8) & 15) {
    case 0:
      core.registers[SP] = (core.registers[SP]! + (opcode & 0x80 ? -4 : 4) * (opcode & 0x7f)) & ~3;
      return 1;
    case 2:
      return extend(core, opcode);
    case 4:
    case 5:
      return push(core, opcode);
    case 12:
    case 13:
      return pop(core, opcode);
    default:
      return 0;
  }
}

function holds(core: Core, pair: number): boolean {
  switch (pair) {
    case 0:
      return core.Z;
    case 1:
      return core.C;
    case 2:
      return core.N;
    case 3:
      return core.V;
    case 4:
      return core.C && !core.Z;
    case 5:
      return core.N === core.V;
    default:
      return !core.Z && core.N === core.V;
  }
}

function branchIf(core: Core, opcode: number): number {
  const condition = (opcode >> 8) & 15;
  if (condition >= ALWAYS) return 0;
  if (holds(core, condition >> 1) === (condition & 1) > 0) return 1;
  core.registers[PC]! += 2 + ((opcode << 24) >> 23);
  return 2;
}

/** BL: both halves of its offset, and where to come back to. */
function branchAndLink(core: Core, opcode: number): number {
  const { registers } = core;
  const next = registers[PC]!;
  const second = core.readUint16(next);
  if ((second & 0xd000) !== 0xd000) return 0;
  const sign = (opcode >> 10) & 1;
  const first = 1 - (sign ^ ((second >> 13) & 1));
  const other = 1 - (sign ^ ((second >> 11) & 1));
  const high = (sign ? 0xff << 24 : 0) | (first << 23) | (other << 22);
  registers[LR] = (next + 2) | 1;
  registers[PC] = next + 2 + (high | ((opcode & 0x3ff) << 12) | ((second & 0x7ff) << 1));
  core.blTaken(core, false);
  return 3;
}

/** Runs the instruction behind the program counter's two bytes; 0 cycles when it is not here. */
function run(core: Core, opcode: number): number {
  const { registers } = core;
  switch (opcode >> 11) {
    case 0b00000:
    case 0b00001:
    case 0b00010:
      return shiftImmediate(core, opcode);
    case 0b00011:
      return addOrSubtract(core, opcode);
    case 0b00100:
    case 0b00101:
    case 0b00110:
    case 0b00111:
      return withByte(core, opcode);
    case 0b01000:
      return opcode & 0x400 ? highRegisters(core, opcode) : dataProcessing(core, opcode);
    case 0b01001:
      return load32(core, (opcode >> 8) & 7, ((registers[PC]! + 2) & ~3) + 4 * (opcode & 0xff));
    case 0b01010:
    case 0b01011:
      return accessByRegister(core, opcode);
    case 0b01100:
    case 0b01101:
    case 0b01110:
    case 0b01111:
    case 0b10000:
    case 0b10001:
      return accessByNumber(core, opcode);
    case 0b10010:
      return store32(core, (opcode >> 8) & 7, registers[SP]! + 4 * (opcode & 0xff));
    case 0b10011:
      return load32(core, (opcode >> 8) & 7, registers[SP]! + 4 * (opcode & 0xff));
    case 0b10101:
      registers[(opcode >> 8) & 7] = registers[SP]! + 4 * (opcode & 0xff);
      return 1;
    case 0b10110:
    case 0b10111:
      return miscellaneous(core, opcode);
    case 0b11010:
    case 0b11011:
      return branchIf(core, opcode);
    case 0b11100:
      registers[PC]! += 2 + ((opcode << 21) >> 20);
      return 2;
    case 0b11110:
      return branchAndLink(core, opcode);
    default:
      return 0;
  }
}

/** Runs one instruction and returns its cycles; 0, with nothing touched, when the package has to run it. */
export function runCommon(core: Core, opcode: number): number {
  core.registers[PC]! += 2;
  const cycles = run(core, opcode);
  if (cycles === 0) core.registers[PC]! -= 2;
  else core.cycles += cycles;
  return cycles;
}
