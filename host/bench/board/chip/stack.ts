// Instructions that move several words. PUSH and POP: at once in SRAM, word by word over the bus elsewhere.
import type { RP2040 } from "rp2040js";
import type { Accesses } from "./accesses.ts";
import type { Registers } from "./arithmetic.ts";

type Core = RP2040["core"];

const SP = 13;
const LR = 14;
const PC = 15;
/** A jump to an address from here on is a return from an exception. */
export const RETURNS = 0xf0000000;

/** How many low registers an instruction names. */
function count(opcode: number): number {
  let named = 0;
  for (let bits = opcode & 0xff; bits > 0; bits &= bits - 1) named++;
  return named;
}

/** Stores upwards from the lowest address, so that a stack that is full faults before anything is written. Returns its cycles. */
export function pushWords(core: Core, r: Registers, memory: Accesses, opcode: number): number {
  const named = count(opcode);
  const link = (opcode >> 8) & 1;
  const lowest = (r[SP]! - 4 * (named + link)) | 0;
  const near = memory.hasWords(lowest, named + link);
  let address = lowest;
  for (let n = 0; n < 8; n++)
    if (opcode & (1 << n)) {
      if (near) memory.setWord(address, r[n]!);
      else core.writeUint32(address >>> 0, r[n]! >>> 0);
      address += 4;
    }
  if (link && near) memory.setWord(address, r[LR]!);
  else if (link) core.writeUint32(address >>> 0, r[LR]! >>> 0);
  r[SP] = lowest;
  return 1 + named;
}

/** The same the other way round. A jump that is no plain one is the core's to make. */
export function popWords(core: Core, r: Registers, memory: Accesses, opcode: number): number {
  const named = count(opcode);
  const jumps = (opcode >> 8) & 1;
  let address = r[SP]!;
  const near = memory.hasWords(address, named + jumps);
  const last = near && jumps ? memory.word(address + 4 * named) : 0;
  const plain = near && (!jumps || ((last & 1) === 1 && last >>> 0 < RETURNS));
  for (let n = 0; n < 8; n++)
    if (opcode & (1 << n)) {
      r[n] = near ? memory.word(address) : core.readUint32(address >>> 0);
      address += 4;
    }
  r[SP] = address + 4 * jumps;
  if (!jumps) return 1 + named;
  if (plain) r[PC] = last & ~1;
  else core.BXWritePC(near ? last >>> 0 : core.readUint32(address >>> 0));
  return 3 + named;
}

/** LDM and STM in SRAM; elsewhere they are left to the package. */
export function moveWords(r: Registers, memory: Accesses, opcode: number): number {
  const named = count(opcode);
  const base = (opcode >> 8) & 7;
  const loads = (opcode & 0x800) !== 0;
  let address = r[base]!;
  if (!memory.hasWords(address, named)) return 0;
  for (let n = 0; n < 8; n++)
    if (opcode & (1 << n)) {
      if (loads) r[n] = memory.word(address);
      else memory.setWord(address, r[n]!);
      address += 4;
    }
  if ((opcode & (1 << base)) === 0) r[base] = address;
  return 1 + named;
}
