// ADCS, SBCS and the shifts by register, as ../../flags.ts has them: their flags are in the places behind the registers.
import { CARRY, OVERFLOW } from "./places.ts";

const LSLS: i32 = 0b0010;
const ASRS: i32 = 0b0100;
const RORS: i32 = 0b0111;

export function addWithCarry(left: i32, right: i32): i32 {
  const sum = <u64>(<u32>left) + <u64>(<u32>right) + <u64>load<u32>(CARRY);
  const value = <i32>sum;
  store<i32>(CARRY, i32(sum > 0xffffffff));
  store<i32>(OVERFLOW, (left ^ value) & (right ^ value));
  return value;
}

/** The shifted value; the carry is the last bit shifted out and stays when nothing is shifted. */
export function shift(operation: i32, value: i32, amount: i32): i32 {
  if (amount === 0) return value;
  if (operation === RORS) {
    const turned = rotr(value, amount & 31);
    store<i32>(CARRY, i32(turned < 0));
    return turned;
  }
  if (operation === ASRS) {
    store<i32>(CARRY, (value >> min(amount - 1, 31)) & 1);
    return value >> min(amount, 31);
  }
  const edge = operation === LSLS ? 32 - amount : amount - 1;
  store<i32>(CARRY, amount <= 32 ? (value >>> edge) & 1 : 0);
  if (amount >= 32) return 0;
  return operation === LSLS ? value << amount : value >>> amount;
}
