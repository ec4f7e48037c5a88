// Log pages out of a row of bytes. Every kind of page ends in the CRC-32C of what stands before; nothing else is asked of it.
import { crc32c } from "#host/codec/crc32c.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";

/** Bytes of a page. */
export const PAGE_BYTES = FLASH.page;
const CRC_AT = PAGE_BYTES - 4;

/** Whole pages of a row; a rest that is shorter than a page is left. */
export function splitPages(bytes: Uint8Array): Uint8Array[] {
  const count = Math.floor(bytes.length / PAGE_BYTES);
  return Array.from({ length: count }, (_, i) => bytes.slice(i * PAGE_BYTES, (i + 1) * PAGE_BYTES));
}

/** Does the page carry the check sum of what it holds? */
export function isWholePage(page: Uint8Array): boolean {
  const sum = new DataView(page.buffer, page.byteOffset, page.length).getUint32(CRC_AT, true);
  return sum === crc32c(page.subarray(0, CRC_AT));
}

/** Whole pages at any place of a damaged row. */
export function savedPages(bytes: Uint8Array): Uint8Array[] {
  const saved: Uint8Array[] = [];
  for (let at = 0; at + PAGE_BYTES <= bytes.length; ) {
    const page = bytes.subarray(at, at + PAGE_BYTES);
    const whole = isWholePage(page);
    if (whole) saved.push(page.slice());
    at += whole ? PAGE_BYTES : 1;
  }
  return saved;
}
