// ADCS, SBCS and the shifts by register as the ARMv6-M manual defines them (AddWithCarry, Shift_C); the package's flags differ.
import type { RP2040 } from "rp2040js";

type Core = RP2040["core"];

const LSLS = 0b0010;
const ASRS = 0b0100;
const ADCS = 0b0101;
const SBCS = 0b0110;
const RORS = 0b0111;

/** Runs the instruction and returns true when it is one of those six; else touches nothing. */
export function carryAndShift(core: Core, opcode: number): boolean {
  const operation = (opcode >> 6) & 0xf;
  if (operation < LSLS) return false;
  const destination = opcode & 7;
  const left = core.registers[destination]!;
  const right = core.registers[(opcode >> 3) & 7]!;
  core.registers[destination] = result(core, operation, left, right);
  core.PC += 2;
  return true;
}

function result(core: Core, operation: number, left: number, right: number): number {
  if (operation === ADCS) return addWithCarry(core, left, right);
  if (operation === SBCS) return addWithCarry(core, left, ~right >>> 0);
  const shifted = shift(core, operation, left, right & 0xff);
  core.N = shifted < 0;
  core.Z = shifted === 0;
  return shifted;
}

function addWithCarry(core: Core, left: number, right: number): number {
  const sum = left + right + (core.C ? 1 : 0);
  const value = sum | 0;
  core.N = value < 0;
  core.Z = value === 0;
  core.C = sum > 0xffffffff;
  core.V = ((left ^ value) & (right ^ value)) < 0;
  return value;
}

/** The shifted value, signed; the carry is the last bit shifted out and stays when nothing is shifted. */
function shift(core: Core, operation: number, value: number, amount: number): number {
  if (amount === 0) return value | 0;
  if (operation === RORS) {
    const turned = (value >>> (amount & 31)) | (value << (-amount & 31));
    core.C = turned < 0;
    return turned;
  }
  if (operation === ASRS) {
    core.C = ((value >> Math.min(amount - 1, 31)) & 1) !== 0;
    return value >> Math.min(amount, 31);
  }
  const edge = operation === LSLS ? 32 - amount : amount - 1;
  core.C = amount <= 32 && ((value >>> edge) & 1) !== 0;
  if (amount >= 32) return 0;
  return operation === LSLS ? value << amount : (value >>> amount) | 0;
}
