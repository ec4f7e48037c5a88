// Instructions that calculate, on registers as signed numbers and flags as numbers; shifts by register and carries are in flags.ts.

/** Sixteen registers, the program counter behind the instruction. */
export type Registers = Int32Array;
/** N is the sign at 0, Z that 1 holds 0, C that 2 does not, V the sign at 3. */
export type Flags = Int32Array;

export const NEGATIVE = 0;
export const ZERO = 1;
export const CARRY = 2;
export const OVERFLOW = 3;

const SP = 13;
const PC = 15;

/** The low register whose number stands at a bit of the instruction. */
export const lowRegister = (r: Registers, opcode: number, at: number): number => r[(opcode >> at) & 7]!;

export function setNegativeZero(f: Flags, value: number): void {
  f[NEGATIVE] = value;
  f[ZERO] = value;
}

function add(f: Flags, left: number, right: number): number {
  const value = (left + right) | 0;
  setNegativeZero(f, value);
  f[CARRY] = value >>> 0 < left >>> 0 ? 1 : 0;
  f[OVERFLOW] = (left ^ value) & (right ^ value);
  return value;
}

function subtract(f: Flags, left: number, right: number): number {
  const value = (left - right) | 0;
  setNegativeZero(f, value);
  f[CARRY] = left >>> 0 >= right >>> 0 ? 1 : 0;
  f[OVERFLOW] = (left ^ right) & (left ^ value);
  return value;
}

export function shiftImmediate(r: Registers, f: Flags, opcode: number): number {
  const value = lowRegister(r, opcode, 3);
  const amount = (opcode >> 6) & 31;
  const kind = opcode >> 11;
  let result: number;
  if (kind === 0) {
    result = value << amount;
    if (amount > 0) f[CARRY] = (value >>> (32 - amount)) & 1;
  } else {
    f[CARRY] = (value >>> ((amount + 31) & 31)) & 1;
    const all = amount === 0;
    result = kind === 1 ? (all ? 0 : (value >>> amount) | 0) : value >> (all ? 31 : amount);
  }
  r[opcode & 7] = result;
  setNegativeZero(f, result);
  return 1;
}

export function addOrSubtract(r: Registers, f: Flags, opcode: number): number {
  const left = lowRegister(r, opcode, 3);
  const right = opcode & 0x400 ? (opcode >> 6) & 7 : lowRegister(r, opcode, 6);
  r[opcode & 7] = opcode & 0x200 ? subtract(f, left, right) : add(f, left, right);
  return 1;
}

/** MOVS, CMP, ADDS and SUBS with a byte. */
export function withByte(r: Registers, f: Flags, opcode: number): number {
  const register = (opcode >> 8) & 7;
  const byte = opcode & 0xff;
  const kind = (opcode >> 11) & 3;
  if (kind === 0) {
    r[register] = byte;
    setNegativeZero(f, byte);
  } else if (kind === 1) subtract(f, r[register]!, byte);
  else r[register] = kind === 2 ? add(f, r[register]!, byte) : subtract(f, r[register]!, byte);
  return 1;
}

function logic(r: Registers, f: Flags, opcode: number, value: number): number {
  r[opcode & 7] = value;
  setNegativeZero(f, value);
  return 1;
}

/** Between two low registers, but for carries and shifts (see flags.ts): 0 for those. */
export function dataProcessing(r: Registers, f: Flags, opcode: number): number {
  const left = lowRegister(r, opcode, 0);
  const right = lowRegister(r, opcode, 3);
  switch ((opcode >> 6) & 15) {
    case 0:
      return logic(r, f, opcode, left & right);
    case 1:
      return logic(r, f, opcode, left ^ right);
    case 8:
      setNegativeZero(f, left & right);
      return 1;
    case 9:
      return logic(r, f, opcode, subtract(f, 0, right));
    case 10:
      subtract(f, left, right);
      return 1;
    case 11:
      add(f, left, right);
      return 1;
    case 12:
      return logic(r, f, opcode, left | right);
    case 13:
      return logic(r, f, opcode, Math.imul(left, right));
    case 14:
      return logic(r, f, opcode, left & ~right);
    case 15:
      return logic(r, f, opcode, ~right);
    default:
      return 0;
  }
}

/** ADD, CMP and MOV that reach the high registers, as long as neither the program counter nor a change of the stack is in it. */
export function highRegisters(r: Registers, f: Flags, opcode: number): number {
  const to = ((opcode >> 4) & 8) | (opcode & 7);
  const from = (opcode >> 3) & 15;
  const kind = (opcode >> 8) & 3;
  if (from === PC || to === PC || (to === SP && kind !== 1)) return 0;
  if (kind === 0) r[to] = r[to]! + r[from]!;
  else if (kind === 1) subtract(f, r[to]!, r[from]!);
  else r[to] = r[from]!;
  return 1;
}

export function extend(r: Registers, opcode: number): number {
  const value = lowRegister(r, opcode, 3);
  const kind = (opcode >> 6) & 3;
  const bits = kind & 1 ? 24 : 16;
  r[opcode & 7] = kind & 2 ? (value << bits) >>> bits : (value << bits) >> bits;
  return 1;
}

function holds(f: Flags, pair: number): boolean {
  switch (pair) {
    case 0:
      return f[ZERO] === 0;
    case 1:
      return f[CARRY] !== 0;
    case 2:
      return f[NEGATIVE]! < 0;
    case 3:
      return f[OVERFLOW]! < 0;
    case 4:
      return f[CARRY] !== 0 && f[ZERO] !== 0;
    case 5:
      return (f[NEGATIVE]! ^ f[OVERFLOW]!) >= 0;
    default:
      return f[ZERO] !== 0 && (f[NEGATIVE]! ^ f[OVERFLOW]!) >= 0;
  }
}

const ALWAYS = 14;

/** The conditional branches: 0 for the two numbers that are none. */
export function branchIf(r: Registers, f: Flags, opcode: number): number {
  const condition = (opcode >> 8) & 15;
  if (condition >= ALWAYS) return 0;
  if (holds(f, condition >> 1) === (condition & 1) > 0) return 1;
  r[PC] = r[PC]! + 2 + ((opcode << 24) >> 23);
  return 2;
}
