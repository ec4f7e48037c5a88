// Instructions that move several words, all of them in SRAM: each returns its cycles, 0 with nothing touched when it cannot run here.
import { isPlain, jump } from "./jumps.ts";
import { get, LR, SP, SRAM_BASE, SRAM_BYTES, set } from "./places.ts";

const NOWHERE: u32 = 0xffffffff;

/** Offset of so many words in SRAM; NOWHERE when they are not all there. */
// @inline
function words(address: i32, count: i32): u32 {
  const offset = <u32>(address - SRAM_BASE);
  return (offset & 3) === 0 && offset <= SRAM_BYTES - 4 * <u32>count ? offset : NOWHERE;
}

/** Stores the low registers that an instruction names; the offset behind them. */
function storeNamed(offset: u32, opcode: i32): u32 {
  let at = offset;
  for (let n = 0; n < 8; n++)
    if (opcode & (1 << n)) {
      store<i32>(at, get(n));
      at += 4;
    }
  return at;
}

function loadNamed(offset: u32, opcode: i32): void {
  let at = offset;
  for (let n = 0; n < 8; n++)
    if (opcode & (1 << n)) {
      set(n, load<i32>(at));
      at += 4;
    }
}

export function push(opcode: i32): i32 {
  const named = popcnt(opcode & 0xff);
  const link = (opcode >> 8) & 1;
  const lowest = get(SP) - 4 * (named + link);
  const offset = words(lowest, named + link);
  if (offset === NOWHERE) return 0;
  const end = storeNamed(offset, opcode);
  if (link) store<i32>(end, get(LR));
  set(SP, lowest);
  return 1 + named;
}

/** A jump that is no plain one is left alone. */
export function pop(opcode: i32): i32 {
  const named = popcnt(opcode & 0xff);
  const jumps = (opcode >> 8) & 1;
  const address = get(SP);
  const offset = words(address, named + jumps);
  if (offset === NOWHERE) return 0;
  const target = jumps ? load<i32>(offset + 4 * named) : 1;
  if (!isPlain(target)) return 0;
  loadNamed(offset, opcode);
  set(SP, address + 4 * (named + jumps));
  return jumps ? jump(target & ~1, 3 + named) : 1 + named;
}

/** LDM and STM. */
export function moveWords(opcode: i32): i32 {
  const named = popcnt(opcode & 0xff);
  const base = (opcode >> 8) & 7;
  const address = get(base);
  const offset = words(address, named);
  if (offset === NOWHERE) return 0;
  if (opcode & 0x800) loadNamed(offset, opcode);
  else storeNamed(offset, opcode);
  if ((opcode & (1 << base)) === 0) set(base, address + 4 * named);
  return 1 + named;
}
