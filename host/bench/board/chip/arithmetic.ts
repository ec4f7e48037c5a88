// Instructions that calculate, with their flags; those with carry and the shifts by register are in flags.ts.
import type { RP2040 } from "rp2040js";

type Core = RP2040["core"];

const SP = 13;
const PC = 15;

/** The low register whose number stands at a bit of the instruction. */
export const lowRegister = (core: Core, opcode: number, at: number): number =>
  core.registers[(opcode >> at) & 7]!;

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

export function shiftImmediate(core: Core, opcode: number): number {
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

export function addOrSubtract(core: Core, opcode: number): number {
  const left = lowRegister(core, opcode, 3);
  const right = opcode & 0x400 ? (opcode >> 6) & 7 : lowRegister(core, opcode, 6);
  core.registers[opcode & 7] = opcode & 0x200 ? subtract(core, left, right) : add(core, left, right);
  return 1;
}

/** MOVS, CMP, ADDS and SUBS with a byte. */
export function withByte(core: Core, opcode: number): number {
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
export function dataProcessing(core: Core, opcode: number): number {
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
export function highRegisters(core: Core, opcode: number): number {
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
