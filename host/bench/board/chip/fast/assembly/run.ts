// The instructions that programs are mostly made of, as long as they stay in SRAM: what ../../instructions.ts does, compiled.
import {
  addByte,
  addOrSubtract,
  compareByte,
  extend,
  highRegisters,
  moveByte,
  moveStack,
  shiftLeft,
  shiftRight,
  shiftSigned,
  stackAddress,
  subtractByte,
} from "./arithmetic.ts";
import { branch, branchAndLink, branchIf, exchange, JUMPED } from "./jumps.ts";
import { betweenLow } from "./low-registers.ts";
import { moveWords, pop, push } from "./many.ts";
import { loadFromStack, loadLiteral, moveByNumber, moveByRegister, storeOnStack } from "./moves.ts";
import { get, half, inSram, LAST, PC, RAN, set } from "./places.ts";

const NOP: i32 = 0xbf00;

// @inline
function betweenRegisters(opcode: i32, pc: i32): i32 {
  if ((opcode & 0x400) === 0) return betweenLow(opcode);
  return (opcode & 0x300) === 0x300 ? exchange(opcode, pc) : highRegisters(opcode);
}

// @inline
function miscellaneous(opcode: i32): i32 {
  switch ((opcode >> 8) & 15) {
    case 0:
      return moveStack(opcode);
    case 2:
      return extend(opcode);
    case 4:
    case 5:
      return push(opcode);
    case 12:
    case 13:
      return pop(opcode);
    case 15:
      return i32(opcode === NOP);
    default:
      return 0;
  }
}

/** Runs the instruction at `pc`, by its upper five bits. Returns its cycles, with JUMPED when it has; 0 when it cannot run here. */
// @inline
function one(opcode: i32, pc: i32): i32 {
  switch (opcode >> 11) {
    case 0b00000:
      return shiftLeft(opcode);
    case 0b00001:
      return shiftRight(opcode);
    case 0b00010:
      return shiftSigned(opcode);
    case 0b00011:
      return addOrSubtract(opcode);
    case 0b00100:
      return moveByte(opcode);
    case 0b00101:
      return compareByte(opcode);
    case 0b00110:
      return addByte(opcode);
    case 0b00111:
      return subtractByte(opcode);
    case 0b01000:
      return betweenRegisters(opcode, pc);
    case 0b01001:
      return loadLiteral(opcode, pc);
    case 0b01010:
    case 0b01011:
      return moveByRegister(opcode);
    case 0b01100:
    case 0b01101:
    case 0b01110:
    case 0b01111:
    case 0b10000:
    case 0b10001:
      return moveByNumber(opcode);
    case 0b10010:
      return storeOnStack(opcode);
    case 0b10011:
      return loadFromStack(opcode);
    case 0b10101:
      return stackAddress(opcode);
    case 0b10110:
    case 0b10111:
      return miscellaneous(opcode);
    case 0b11000:
    case 0b11001:
      return moveWords(opcode);
    case 0b11010:
    case 0b11011:
      return branchIf(opcode, pc);
    case 0b11100:
      return branch(opcode, pc);
    case 0b11110:
      return branchAndLink(opcode, pc);
    default:
      return 0;
  }
}

/** Runs instructions until `most` cycles are over or one comes that cannot run here. Returns cycles. */
export function run(most: i32): i32 {
  let last = load<i32>(LAST);
  let pc = get(PC);
  let cycles = 0;
  let ran = 0;
  while (cycles < most && inSram(pc)) {
    const took = one(half(pc), pc);
    if (took === 0) break;
    last = pc;
    pc = took >= JUMPED ? get(PC) : pc + 2;
    cycles += took & (JUMPED - 1);
    ran++;
  }
  set(PC, pc);
  store<i32>(LAST, last);
  store<i32>(RAN, ran);
  return cycles;
}
