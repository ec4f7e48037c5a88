// Instructions that jump. Where they went stands in the program counter's place, and their cycles carry a mark.
import { CARRY, get, half, inSram, LR, NEGATIVE, OVERFLOW, PC, set, ZERO } from "./places.ts";

/** Added to the cycles of an instruction that has jumped. */
export const JUMPED: i32 = 0x100;
/** A jump to an address from here on is a return from an exception. */
const RETURNS: u32 = 0xf0000000;
const ALWAYS: i32 = 14;

/** May this be jumped to here: code, and no return from an exception? */
// @inline
export function isPlain(target: i32): bool {
  return (target & 1) !== 0 && <u32>target < RETURNS;
}

// @inline
export function jump(target: i32, cycles: i32): i32 {
  set(PC, target);
  return JUMPED + cycles;
}

// @inline
function notLess(): bool {
  return (load<i32>(NEGATIVE) ^ load<i32>(OVERFLOW)) >= 0;
}

/** Does the first condition of a pair hold? */
// @inline
function holds(pair: i32): bool {
  switch (pair) {
    case 0:
      return load<i32>(ZERO) === 0;
    case 1:
      return load<i32>(CARRY) !== 0;
    case 2:
      return load<i32>(NEGATIVE) < 0;
    case 3:
      return load<i32>(OVERFLOW) < 0;
    case 4:
      return load<i32>(CARRY) !== 0 && load<i32>(ZERO) !== 0;
    case 5:
      return notLess();
    default:
      return load<i32>(ZERO) !== 0 && notLess();
  }
}

/** The conditional branches: 0 for the two numbers that are none. */
// @inline
export function branchIf(opcode: i32, pc: i32): i32 {
  const condition = (opcode >> 8) & 15;
  if (condition >= ALWAYS) return 0;
  if (holds(condition >> 1) === ((condition & 1) !== 0)) return 1;
  return jump(pc + 4 + ((opcode << 24) >> 23), 2);
}

// @inline
export function branch(opcode: i32, pc: i32): i32 {
  return jump(pc + 4 + ((opcode << 21) >> 20), 2);
}

/** BX and BLX to code; what else a register may hold is left alone. */
// @inline
export function exchange(opcode: i32, pc: i32): i32 {
  const from = (opcode >> 3) & 15;
  const target = get(from);
  if ((opcode & 7) !== 0 || from === PC || !isPlain(target)) return 0;
  if (opcode & 0x80) set(LR, (pc + 2) | 1);
  return jump(target & ~1, 2);
}

// @inline
function linkOffset(opcode: i32, second: i32): i32 {
  const sign = (opcode >> 10) & 1;
  const upper = 1 - (sign ^ ((second >> 13) & 1));
  const other = 1 - (sign ^ ((second >> 11) & 1));
  const high = (sign ? 0xff << 24 : 0) | (upper << 23) | (other << 22);
  return high | ((opcode & 0x3ff) << 12) | ((second & 0x7ff) << 1);
}

/** BL, as long as both its halves are in SRAM. */
// @inline
export function branchAndLink(opcode: i32, pc: i32): i32 {
  const second = inSram(pc + 2) ? half(pc + 2) : 0;
  if ((second & 0xd000) !== 0xd000) return 0;
  set(LR, (pc + 4) | 1);
  return jump(pc + 4 + linkOffset(opcode, second), 3);
}
