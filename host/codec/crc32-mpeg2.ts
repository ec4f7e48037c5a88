// CRC-32/MPEG-2, which the boot ROM asks of the second boot stage.

const POLYNOMIAL = 0x04c11db7;

/** CRC-32/MPEG-2: polynomial 04c11db7h, start ffffffffh, not reflected, no final inversion (RevEng catalogue). */
export function crc32Mpeg2(bytes: Uint8Array): number {
  let crc = 0xffffffff;
  for (const byte of bytes) {
    crc ^= byte << 24;
    for (let bit = 0; bit < 8; bit++) crc = crc < 0 ? (crc << 1) ^ POLYNOMIAL : crc << 1;
  }
  return crc >>> 0;
}
