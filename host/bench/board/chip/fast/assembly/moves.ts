// Loads and stores of SRAM: each returns its cycles, 0 with nothing touched when there is no such place in SRAM.
import { get, low, SP, SRAM_BASE, SRAM_BYTES, set } from "./places.ts";

const CYCLES: i32 = 2;

// @inline
function hasWord(offset: u32): bool {
  return offset < SRAM_BYTES && (offset & 3) === 0;
}

// @inline
function hasHalf(offset: u32): bool {
  return offset < SRAM_BYTES && (offset & 1) === 0;
}

// @inline
function loadWord(register: i32, address: i32): i32 {
  const offset = <u32>(address - SRAM_BASE);
  if (!hasWord(offset)) return 0;
  set(register, load<i32>(offset));
  return CYCLES;
}

// @inline
function loadHalf(register: i32, address: i32): i32 {
  const offset = <u32>(address - SRAM_BASE);
  if (!hasHalf(offset)) return 0;
  set(register, load<u16>(offset));
  return CYCLES;
}

// @inline
function loadByte(register: i32, address: i32): i32 {
  const offset = <u32>(address - SRAM_BASE);
  if (offset >= SRAM_BYTES) return 0;
  set(register, load<u8>(offset));
  return CYCLES;
}

// @inline
function storeWord(register: i32, address: i32): i32 {
  const offset = <u32>(address - SRAM_BASE);
  if (!hasWord(offset)) return 0;
  store<i32>(offset, get(register));
  return CYCLES;
}

// @inline
function storeHalf(register: i32, address: i32): i32 {
  const offset = <u32>(address - SRAM_BASE);
  if (!hasHalf(offset)) return 0;
  store<u16>(offset, <u16>get(register));
  return CYCLES;
}

// @inline
function storeByte(register: i32, address: i32): i32 {
  const offset = <u32>(address - SRAM_BASE);
  if (offset >= SRAM_BYTES) return 0;
  store<u8>(offset, <u8>get(register));
  return CYCLES;
}

// @inline
function wordPlace(opcode: i32): i32 {
  return low(opcode, 3) + ((opcode >> 4) & 0x7c);
}

// @inline
function halfPlace(opcode: i32): i32 {
  return low(opcode, 3) + ((opcode >> 5) & 0x3e);
}

// @inline
function bytePlace(opcode: i32): i32 {
  return low(opcode, 3) + ((opcode >> 6) & 31);
}

/** Loads and stores at a register plus a number in the instruction, by its upper five bits. */
// @inline
export function moveByNumber(opcode: i32): i32 {
  const register = opcode & 7;
  switch (opcode >> 11) {
    case 0b01100:
      return storeWord(register, wordPlace(opcode));
    case 0b01101:
      return loadWord(register, wordPlace(opcode));
    case 0b01110:
      return storeByte(register, bytePlace(opcode));
    case 0b01111:
      return loadByte(register, bytePlace(opcode));
    case 0b10000:
      return storeHalf(register, halfPlace(opcode));
    default:
      return loadHalf(register, halfPlace(opcode));
  }
}

/** Loads and stores at the sum of two registers; those that extend a sign are not here. */
// @inline
export function moveByRegister(opcode: i32): i32 {
  const address = low(opcode, 3) + low(opcode, 6);
  const register = opcode & 7;
  switch ((opcode >> 9) & 7) {
    case 0:
      return storeWord(register, address);
    case 1:
      return storeHalf(register, address);
    case 2:
      return storeByte(register, address);
    case 4:
      return loadWord(register, address);
    case 5:
      return loadHalf(register, address);
    case 6:
      return loadByte(register, address);
    default:
      return 0;
  }
}

// @inline
export function storeOnStack(opcode: i32): i32 {
  return storeWord((opcode >> 8) & 7, get(SP) + 4 * (opcode & 0xff));
}

// @inline
export function loadFromStack(opcode: i32): i32 {
  return loadWord((opcode >> 8) & 7, get(SP) + 4 * (opcode & 0xff));
}

/** A number beside the code. */
// @inline
export function loadLiteral(opcode: i32, pc: i32): i32 {
  return loadWord((opcode >> 8) & 7, ((pc + 4) & ~3) + 4 * (opcode & 0xff));
}
