// Settings out of a flash chip as the controller takes them at its start: of the whole slots of this schema the newest.
import { crc32c } from "#host/codec/crc32c.ts";
import { FINGERPRINT } from "#shared-schema/generated/fingerprint.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";
import { type Document, fromBytes, unpack } from "#shared-schema/settings/pack.ts";
import { WORDS } from "#shared-schema/settings/words.ts";

/** A slot of settings, byte by byte: docs/storage.md. */
const MAGIC = 0x54534748;
const HEADER_BYTES = 28;
const AT = { magic: 0, fingerprint: 8, sequence: 12, length: 16, settingsCrc: 24, headerCrc: 28 } as const;

interface Slot {
  readonly sequence: number;
  readonly crc: number;
  readonly block: Uint8Array;
}

function slotAt(bytes: Uint8Array, offset: number): Slot | undefined {
  const view = new DataView(bytes.buffer, bytes.byteOffset + offset, FLASH.sector);
  const word = (at: number): number => view.getUint32(at, true);
  const length = word(AT.length);
  if (word(AT.magic) !== MAGIC || word(AT.fingerprint) !== FINGERPRINT || length !== 2 * WORDS.length) return;
  if (word(AT.headerCrc) !== crc32c(bytes.subarray(offset, offset + HEADER_BYTES))) return;
  const block = bytes.subarray(offset + FLASH.page, offset + FLASH.page + length);
  const crc = word(AT.settingsCrc);
  return crc === crc32c(block) ? { sequence: word(AT.sequence), crc, block } : undefined;
}

/** Settings that are in force after a start with this flash, and their check sum; undefined when there are none. */
export function storedSettings(
  flash: Uint8Array,
): { readonly crc: number; readonly document: Document } | undefined {
  const slots = Array.from({ length: FLASH.slotCount }, (_, n) =>
    slotAt(flash, FLASH.slotA + n * FLASH.sector),
  ).filter((slot) => slot !== undefined);
  const [newest] = slots.sort((a, b) => (b.sequence - a.sequence) | 0);
  return newest && { crc: newest.crc, document: unpack(fromBytes(newest.block)) };
}
