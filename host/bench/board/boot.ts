// What the boot ROM does after a reset: check the second boot stage, copy it to RAM and call it with the link register 0.

import { crc32Mpeg2 } from "#host/codec/crc32-mpeg2.ts";
import type { Chip } from "./chip/chip.ts";
import { refuse } from "./chip/fault.ts";

/** Time from reset to the second boot stage, ns: one attempt of about 4 ms (comment in the boot ROM's source). */
export const BOOT_ROM_NS = 4e6;
/**
 * The ROM reads the second boot stage so often before it gives up and stays in its USB boot mode; cycles of the ring oscillator
 * a try. Seen with the published ROM, version 3 (see `npm run boot-rom`): 128 tries in 474 ms at 6.5 MHz, 257 ms at 12 MHz.
 */
export const BOOT_TRIES = 128;
export const BOOT_TRY_CYCLES = 24_090;
/** The released image answers by then, us; its crystal has 64 ms of that. */
export const STARTED_US = 160_000;
/** Its first work on flash is over by then, us: one sector of an empty chip is erased. */
export const RESTED_US = STARTED_US + 100_000;
/** Bytes of the second boot stage, checksum included. */
export const BOOT2_BYTES = 256;
const BOOT2_ADDRESS = 0x20041f00;
const SRAM_BASE = 0x20000000;
const GARBAGE = 0xdeadbeef;

/** Starts the second boot stage found in `flash`. Throws when its checksum is wrong: the ROM would not start it either. */
export function startSecondStage(chip: Chip, flash: Uint8Array): void {
  const stage = flash.subarray(0, BOOT2_BYTES);
  const stored = new DataView(stage.buffer, stage.byteOffset).getUint32(BOOT2_BYTES - 4, true);
  const computed = crc32Mpeg2(stage.subarray(0, BOOT2_BYTES - 4));
  if (stored !== computed) {
    refuse(`second boot stage has checksum ${stored.toString(16)}, its bytes give ${computed.toString(16)}`);
  }
  const { core, sram } = chip.rp2040;
  sram.set(stage, BOOT2_ADDRESS - SRAM_BASE);
  core.registers.fill(GARBAGE);
  core.VTOR = 0;
  core.SP = BOOT2_ADDRESS;
  core.LR = 0;
  core.PC = BOOT2_ADDRESS;
}
