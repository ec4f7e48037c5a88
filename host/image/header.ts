// Reads the header of an image (length, check sum, version, schema) and checks that the bytes match it.
import { crc32c } from "#host/codec/crc32c.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";

/** Offsets in the image of the fields of firmware/board/image.c, struct image_header. */
export const HEADER = {
  magic: FLASH.imageHeader,
  length: FLASH.imageHeader + 4,
  crc: FLASH.imageHeader + 8,
  version: FLASH.imageHeader + 12,
  fingerprint: FLASH.imageHeader + 16,
} as const;

const MAGIC = 0x54474448;
const HEADER_END = HEADER.fingerprint + 4;

/** Contents of the header. */
export interface ImageFacts {
  /** `1.2.3` */
  readonly version: string;
  readonly crc: number;
  readonly fingerprint: number;
}

/** A packed version, major * 65536 + minor * 256 + patch, as text. */
export function versionText(packed: number): string {
  return `${packed >>> 16}.${(packed >>> 8) & 0xff}.${packed & 0xff}`;
}

/** The header of an image whose check sum is right (with its CRC field taken as zeros); undefined for anything else. */
export function imageFacts(bytes: Uint8Array): ImageFacts | undefined {
  if (bytes.length < HEADER_END) return undefined;
  const copy = bytes.slice();
  const view = new DataView(copy.buffer);
  const word = (at: number): number => view.getUint32(at, true);
  const crc = word(HEADER.crc);
  view.setUint32(HEADER.crc, 0, true);
  if (word(HEADER.magic) !== MAGIC || word(HEADER.length) !== bytes.length || crc32c(copy) !== crc)
    return undefined;
  return { version: versionText(word(HEADER.version)), crc, fingerprint: word(HEADER.fingerprint) };
}
