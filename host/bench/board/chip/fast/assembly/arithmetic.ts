// Instructions that calculate: each returns its cycles, 0 with nothing touched when it cannot run here.
import { CARRY, get, low, OVERFLOW, PC, SP, set, setNegativeZero } from "./places.ts";

// @inline
export function add(left: i32, right: i32): i32 {
  const value = left + right;
  setNegativeZero(value);
  store<i32>(CARRY, i32(<u32>value < <u32>left));
  store<i32>(OVERFLOW, (left ^ value) & (right ^ value));
  return value;
}

// @inline
export function subtract(left: i32, right: i32): i32 {
  const value = left - right;
  setNegativeZero(value);
  store<i32>(CARRY, i32(<u32>left >= <u32>right));
  store<i32>(OVERFLOW, (left ^ right) & (left ^ value));
  return value;
}

/** Puts a result with its N and Z into a register. */
// @inline
export function result(register: i32, value: i32): i32 {
  set(register, value);
  setNegativeZero(value);
  return 1;
}

// @inline
export function shiftLeft(opcode: i32): i32 {
  const value = low(opcode, 3);
  const amount = (opcode >> 6) & 31;
  if (amount > 0) store<i32>(CARRY, (value >>> (32 - amount)) & 1);
  return result(opcode & 7, value << amount);
}

// @inline
export function shiftRight(opcode: i32): i32 {
  const value = low(opcode, 3);
  const amount = (opcode >> 6) & 31;
  store<i32>(CARRY, (value >>> ((amount + 31) & 31)) & 1);
  return result(opcode & 7, amount === 0 ? 0 : value >>> amount);
}

// @inline
export function shiftSigned(opcode: i32): i32 {
  const value = low(opcode, 3);
  const amount = (opcode >> 6) & 31;
  store<i32>(CARRY, (value >>> ((amount + 31) & 31)) & 1);
  return result(opcode & 7, value >> (amount === 0 ? 31 : amount));
}

// @inline
export function addOrSubtract(opcode: i32): i32 {
  const left = low(opcode, 3);
  const right = opcode & 0x400 ? (opcode >> 6) & 7 : low(opcode, 6);
  set(opcode & 7, opcode & 0x200 ? subtract(left, right) : add(left, right));
  return 1;
}

// @inline
export function moveByte(opcode: i32): i32 {
  return result((opcode >> 8) & 7, opcode & 0xff);
}

// @inline
export function compareByte(opcode: i32): i32 {
  subtract(low(opcode, 8), opcode & 0xff);
  return 1;
}

// @inline
export function addByte(opcode: i32): i32 {
  set((opcode >> 8) & 7, add(low(opcode, 8), opcode & 0xff));
  return 1;
}

// @inline
export function subtractByte(opcode: i32): i32 {
  set((opcode >> 8) & 7, subtract(low(opcode, 8), opcode & 0xff));
  return 1;
}

/** ADD, CMP and MOV that reach the high registers, as long as neither the program counter nor a change of the stack is in it. */
// @inline
export function highRegisters(opcode: i32): i32 {
  const into = ((opcode >> 4) & 8) | (opcode & 7);
  const from = (opcode >> 3) & 15;
  const kind = (opcode >> 8) & 3;
  if (from === PC || into === PC || (into === SP && kind !== 1)) return 0;
  if (kind === 0) set(into, get(into) + get(from));
  else if (kind === 1) subtract(get(into), get(from));
  else set(into, get(from));
  return 1;
}

// @inline
export function extend(opcode: i32): i32 {
  const value = low(opcode, 3);
  const bits = opcode & 0x40 ? 24 : 16;
  set(opcode & 7, opcode & 0x80 ? (value << bits) >>> bits : (value << bits) >> bits);
  return 1;
}

// @inline
export function stackAddress(opcode: i32): i32 {
  set((opcode >> 8) & 7, get(SP) + 4 * (opcode & 0xff));
  return 1;
}

// @inline
export function moveStack(opcode: i32): i32 {
  set(SP, (get(SP) + (opcode & 0x80 ? -4 : 4) * (opcode & 0x7f)) & ~3);
  return 1;
}
