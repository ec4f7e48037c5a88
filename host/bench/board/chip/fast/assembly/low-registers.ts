// Instructions between two low registers, by bits 6 to 9.
import { add, result, subtract } from "./arithmetic.ts";
import { addWithCarry, shift } from "./carries.ts";
import { low, setNegativeZero } from "./places.ts";

// @inline
function into(opcode: i32, value: i32): i32 {
  return result(opcode & 7, value);
}

// @inline
function tested(value: i32): i32 {
  setNegativeZero(value);
  return 1;
}

/** Of a comparison the flags alone stay. */
// @inline
function compared(_value: i32): i32 {
  return 1;
}

/** Runs one; returns its cycle. */
// @inline
export function betweenLow(opcode: i32): i32 {
  const left = low(opcode, 0);
  const right = low(opcode, 3);
  switch ((opcode >> 6) & 15) {
    case 0:
      return into(opcode, left & right);
    case 1:
      return into(opcode, left ^ right);
    case 5:
      return into(opcode, addWithCarry(left, right));
    case 6:
      return into(opcode, addWithCarry(left, ~right));
    case 8:
      return tested(left & right);
    case 9:
      return into(opcode, subtract(0, right));
    case 10:
      return compared(subtract(left, right));
    case 11:
      return compared(add(left, right));
    case 12:
      return into(opcode, left | right);
    case 13:
      return into(opcode, left * right);
    case 14:
      return into(opcode, left & ~right);
    case 15:
      return into(opcode, ~right);
    default:
      return into(opcode, shift((opcode >> 6) & 15, left, right & 0xff));
  }
}
