// The instructions that programs are mostly made of, chosen by a jump and not by trying each pattern in turn; the package runs the others.
import type { RP2040 } from "rp2040js";

type Core = RP2040["core"];

const SP = 13;
const LR = 14;
const PC = 15;
const SRAM_BASE = 0x20000000;
const SRAM_BYTES = 0x42000;
const ALWAYS = 14;

const lowRegister = (core: Core, opcode: number, at: number): number => core.registers[(opcode >> at) & 7]!;

/** Cycles of a load or store at an address, that of the instruction included; the package knows them. */
function accessCycles(core: Core, address: number, isWrite = false): number {
  return (address - SRAM_BASE) >>> 0 < SRAM_BYTES ? 2 : 1 + core.cyclesIO(address, isWrite);
}

function setNegativeZero(core: Core, value: number): void {
  core.N = value < 0;
  core.Z = value === 0;
}

function add(core: Core, left: number, right: number): number {
  const sum = left + right;
  const value = sum | 0;
  setNegativeZero(core, value);
  core.C = sum > 0xffffffff;
  core.V = ((left ^ value) & (right ^ value)) < 0;
  return value;
}

function subtract(core: Core, left: number, right: number): number {
  const value = (left - right) | 0;
  setNegativeZero(core, value);
  core.C = left >= right;
  core.V = ((left ^ right) & (left ^ value)) < 0;
  return value;
}

function shiftImmediate(core: Core, opcode: number): number {
  const value = lowRegister(core, opcode, 3);
  const amount = (opcode >> 6) & 31;
  const kind = opcode >> 11;
  let result: number;
  if (kind === 0) {
    result = value << amount;
    if (amount > 0) core.C = ((value >>> (32 - amount)) & 1) === 1;
  } else {
    const last = (amount + 31) & 31;
    core.C = ((value >>> last) & 1) === 1;
    const all = amount === 0;
    result = kind === 1 ? (all ? 0 : (value >>> amount) | 0) : value >> (all ? 31 : amount);
  }
  core.registers[opcode & 7] = result;
  setNegativeZero(core, result);
  return 1;
}

function addOrSubtract(core: Core, opcode: number): number {
  const left = lowRegister(core, opcode, 3);
  const right = opcode & 0x400 ? (opcode >> 6) & 7 : lowRegister(core, opcode, 6);
  core.registers[opcode & 7] = opcode & 0x200 ? subtract(core, left, right) : add(core, left, right);
  return 1;
}

/** MOVS, CMP, ADDS and SUBS with a byte. */
function withByte(core: Core, opcode: number): number {
  const { registers } = core;
  const register = (opcode >> 8) & 7;
  const byte = opcode & 0xff;
  const kind = (opcode >> 11) & 3;
  if (kind === 0) {
    registers[register] = byte;
    setNegativeZero(core, byte);
  } else if (kind === 1) subtract(core, registers[register]!, byte);
  else
    registers[register] =
      kind === 2 ? add(core, registers[register]!, byte) : subtract(core, registers[register]!, byte);
  return 1;
}

function logic(core: Core, opcode: number, value: number): number {
  core.registers[opcode & 7] = value;
  setNegativeZero(core, value | 0);
  return 1;
}

/** Between two low registers; those with carry and the shifts are not here (see flags.ts). */
function dataProcessing(core: Core, opcode: number): number {
  const left = lowRegister(core, opcode, 0);
  const right = lowRegister(core, opcode, 3);
  switch ((opcode >> 6) & 15) {
    case 0:
      return logic(core, opcode, left & right);
    case 1:
      return logic(core, opcode, left ^ right);
    case 8:
      setNegativeZero(core, left & right);
      return 1;
    case 9:
      return logic(core, opcode, subtract(core, 0, right));
    case 10:
      subtract(core, left, right);
      return 1;
    case 11:
      add(core, left, right);
      return 1;
    case 12:
      return logic(core, opcode, left | right);
    case 13:
      return logic(core, opcode, Math.imul(left, right));
    case 14:
      return logic(core, opcode, left & ~right);
    case 15:
      return logic(core, opcode, ~right);
    default:
      return 0;
  }
}

/** ADD, CMP and MOV that reach the high registers, as long as neither the program counter nor a change of the stack is in it. */
function highRegisters(core: Core, opcode: number): number {
  const { registers } = core;
  const to = ((opcode >> 4) & 8) | (opcode & 7);
  const from = (opcode >> 3) & 15;
  const kind = (opcode >> 8) & 3;
  if (kind === 3 || from === PC || to === PC || (to === SP && kind !== 1)) return 0;
  if (kind === 0) registers[to] = registers[to]! + registers[from]!;
  else if (kind === 1) subtract(core, registers[to]!, registers[from]!);
  else registers[to] = registers[from]!;
  return 1;
}

function load32(core: Core, register: number, address: number): number {
  const cycles = accessCycles(core, address);
  core.registers[register] = core.readUint32(address);
  return cycles;
}

function load16(core: Core, register: number, address: number): number {
  const cycles = accessCycles(core, address);
  core.registers[register] = core.readUint16(address);
  return cycles;
}

function load8(core: Core, register: number, address: number): number {
  const cycles = accessCycles(core, address);
  core.registers[register] = core.readUint8(address);
  return cycles;
}

function store32(core: Core, register: number, address: number): number {
  const cycles = accessCycles(core, address, true);
  core.writeUint32(address, core.registers[register]!);
  return cycles;
}

function store16(core: Core, register: number, address: number): number {
  const cycles = accessCycles(core, address, true);
  core.writeUint16(address, core.registers[register]!);
  return cycles;
}

function store8(core: Core, register: number, address: number): number {
  const cycles = accessCycles(core, address, true);
  core.writeUint8(address, core.registers[register]!);
  return cycles;
}

function accessByRegister(core: Core, opcode: number): number {
  const address = lowRegister(core, opcode, 3) + lowRegister(core, opcode, 6);
  const register = opcode & 7;
  switch ((opcode >> 9) & 7) {
    case 0:
      return store32(core, register, address);
    case 1:
      return store16(core, register, address);
    case 2:
      return store8(core, register, address);
    case 4:
      return load32(core, register, address);
    case 5:
      return load16(core, register, address);
    case 6:
      return load8(core, register, address);
    default:
      return 0;
  }
}

/** Loads and stores at a register plus a number in the instruction, counted in units of what is moved. */
function accessByNumber(core: Core, opcode: number): number {
  const base = lowRegister(core, opcode, 3);
  const number = (opcode >> 6) & 31;
  const register = opcode & 7;
  switch (opcode >> 11) {
    case 0b01100:
      return store32(core, register, base + 4 * number);
    case 0b01101:
      return load32(core, register, base + 4 * number);
    case 0b01110:
      return store8(core, register, base + number);
    case 0b01111:
      return load8(core, register, base + number);
    case 0b10000:
      return store16(core, register, base + 2 * number);
    default:
      return load16(core, register, base + 2 * number);
  }
}

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
