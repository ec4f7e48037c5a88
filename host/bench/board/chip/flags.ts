// ADCS, SBCS and the shifts by register as the ARMv6-M manual defines them (AddWithCarry, Shift_C); the package's flags differ.
import { CARRY, type Flags, lowRegister, OVERFLOW, type Registers, setNegativeZero } from "./arithmetic.ts";

const LSLS = 0b0010;
const ASRS = 0b0100;
const ADCS = 0b0101;
const SBCS = 0b0110;
const RORS = 0b0111;

/** True for an instruction between two low registers that is one of those six. */
export function carriesOrShifts(opcode: number): boolean {
  const operation = (opcode >> 6) & 0xf;
  return operation >= LSLS && operation <= RORS;
}

/** Runs one of those six; returns its cycle. */
export function carryAndShift(r: Registers, f: Flags, opcode: number): number {
  const operation = (opcode >> 6) & 0xf;
  const left = lowRegister(r, opcode, 0);
  const right = lowRegister(r, opcode, 3);
  const value =
    operation === ADCS
      ? addWithCarry(f, left, right)
      : operation === SBCS
        ? addWithCarry(f, left, ~right)
        : shift(f, operation, left, right & 0xff);
  r[opcode & 7] = value;
  setNegativeZero(f, value);
  return 1;
}

function addWithCarry(f: Flags, left: number, right: number): number {
  const sum = (left >>> 0) + (right >>> 0) + f[CARRY]!;
  const value = sum | 0;
  f[CARRY] = sum > 0xffffffff ? 1 : 0;
  f[OVERFLOW] = (left ^ value) & (right ^ value);
  return value;
}

/** The shifted value, signed; the carry is the last bit shifted out and stays when nothing is shifted. */
function shift(f: Flags, operation: number, value: number, amount: number): number {
  if (amount === 0) return value;
  if (operation === RORS) {
    const turned = (value >>> (amount & 31)) | (value << (-amount & 31));
    f[CARRY] = turned < 0 ? 1 : 0;
    return turned;
  }
  if (operation === ASRS) {
    f[CARRY] = (value >> Math.min(amount - 1, 31)) & 1;
    return value >> Math.min(amount, 31);
  }
  const edge = operation === LSLS ? 32 - amount : amount - 1;
  f[CARRY] = amount <= 32 ? (value >>> edge) & 1 : 0;
  if (amount >= 32) return 0;
  return operation === LSLS ? value << amount : (value >>> amount) | 0;
}
