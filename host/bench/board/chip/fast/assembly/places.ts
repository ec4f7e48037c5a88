// Where the registers and flags of a core lie: in the memory that holds its SRAM, behind it.

/** SRAM begins at 0 of the memory, and at this address of the chip. */
export const SRAM_BASE: i32 = 0x20000000;
export const SRAM_BYTES: u32 = 0x42000;
/** Sixteen words; the program counter is in its place between two runs, and after a jump. */
export const REGISTERS: usize = 0x42000;
/** N is the sign of the first, Z that the second is 0, C that the third is not, V the sign of the fourth. */
export const NEGATIVE: usize = 0x42040;
export const ZERO: usize = 0x42044;
export const CARRY: usize = 0x42048;
export const OVERFLOW: usize = 0x4204c;
/** Address of the instruction that ran last, and how many ran. */
export const LAST: usize = 0x42050;
export const RAN: usize = 0x42054;

export const SP: i32 = 13;
export const LR: i32 = 14;
export const PC: i32 = 15;

// @inline
export function get(register: i32): i32 {
  return load<i32>(REGISTERS + ((<usize>register) << 2));
}

// @inline
export function set(register: i32, value: i32): void {
  store<i32>(REGISTERS + ((<usize>register) << 2), value);
}

/** The low register whose number stands at a bit of the instruction. */
// @inline
export function low(opcode: i32, at: i32): i32 {
  return get((opcode >> at) & 7);
}

/** A halfword of code. */
// @inline
export function half(address: i32): i32 {
  return load<u16>(address - SRAM_BASE);
}

/** Does an address lie in SRAM? */
// @inline
export function inSram(address: i32): bool {
  return <u32>(address - SRAM_BASE) < SRAM_BYTES;
}

// @inline
export function setNegativeZero(value: i32): void {
  store<i32>(NEGATIVE, value);
  store<i32>(ZERO, value);
}
