// Flash image from the linked program: its loaded bytes, whole sectors, then header and checksums filled in.
import { crc32Mpeg2 } from "#host/codec/crc32-mpeg2.ts";
import { crc32c } from "#host/codec/crc32c.ts";
import type { ElfFile } from "#host/image/elf.ts";
import { HEADER } from "#host/image/header.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";

/** Where flash begins in the address space. */
export const FLASH_BASE = 0x10000000;
const BOOT2_BYTES = 252;
const ERASED = 0xff;

/** The bytes to flash at FLASH_BASE, a whole number of sectors. `version` is major.minor.patch, each below 256. */
export function imageOf(elf: ElfFile, version: string): Uint8Array {
  const bytes = loadedBytes(elf);
  const view = new DataView(bytes.buffer);
  view.setUint32(BOOT2_BYTES, crc32Mpeg2(bytes.subarray(0, BOOT2_BYTES)), true);
  view.setUint32(HEADER.length, bytes.length, true);
  view.setUint32(HEADER.version, packVersion(version), true);
  view.setUint32(HEADER.crc, 0, true);
  view.setUint32(HEADER.crc, crc32c(bytes), true);
  return bytes;
}

function loadedBytes(elf: ElfFile): Uint8Array {
  const parts = elf.segments;
  const end = Math.max(...parts.map((part) => part.address + part.bytes.length)) - FLASH_BASE;
  const image = new Uint8Array(Math.ceil(end / FLASH.sector) * FLASH.sector).fill(ERASED);
  for (const part of parts) image.set(part.bytes, part.address - FLASH_BASE);
  return image;
}

/** major * 65536 + minor * 256 + patch. Throws when a part is missing or does not fit. */
export function packVersion(version: string): number {
  const parts = /^(\d+)\.(\d+)\.(\d+)$/.exec(version)?.slice(1).map(Number);
  if (!parts || parts.some((part) => part > 0xff))
    throw new Error(`version ${version} does not fit the image header`);
  return parts.reduce((packed, part) => packed * 0x100 + part, 0);
}
