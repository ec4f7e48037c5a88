// CRC-32C (CRC-32/ISCSI of the RevEng catalogue: polynomial 0x1edc6f41 reflected, all ones in and out), a byte a step.

const REFLECTED = 0x82f63b78;

function tableEntry(index: number): number {
  let crc = index;
  for (let bit = 0; bit < 8; bit++) crc = crc & 1 ? (crc >>> 1) ^ REFLECTED : crc >>> 1;
  return crc >>> 0;
}

const TABLE = Uint32Array.from({ length: 256 }, (_, i) => tableEntry(i));

/** CRC-32C of the bytes, as an unsigned number. `before` is the CRC of what precedes them. */
export function crc32c(bytes: Uint8Array, before = 0): number {
  let crc = ~before;
  for (const byte of bytes) crc = (crc >>> 8) ^ TABLE[(crc ^ byte) & 0xff]!;
  return ~crc >>> 0;
}
