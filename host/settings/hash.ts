// One short name for settings: the CRC-32C of their packed bytes, the same number that the controller answers to `hello`.
import { crc32c } from "#host/codec/crc32c.ts";
import { type Document, pack, toBytes } from "#shared-schema/settings/pack.ts";

/** Packed bytes of a document that passed its check, as they are sent and stored. */
export function settingsBytes(document: Document): Uint8Array {
  return toBytes(pack(document));
}

/** A CRC as it is shown: 8 hexadecimal digits. */
export function hex8(crc: number): string {
  return crc.toString(16).padStart(8, "0");
}

/** Hash of a document that passed its check. */
export function settingsHash(document: Document): string {
  return hex8(crc32c(settingsBytes(document)));
}
