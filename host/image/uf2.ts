// UF2 files for the RP2040 (Microsoft UF2 specification): 512-byte blocks that each carry one flash page.

/** Size of a block, bytes. */
export const UF2_BLOCK = 512;
/** Flash bytes in a block. */
export const UF2_PAYLOAD = 256;
const MAGIC_START_0 = 0x0a324655;
const MAGIC_START_1 = 0x9e5d5157;
const MAGIC_END = 0x0ab16f30;
const MAGIC_END_AT = UF2_BLOCK - 4;
const ADDRESS_AT = 12;
const DATA_AT = 32;
const FLAG_FAMILY = 0x2000;
const FAMILY_RP2040 = 0xe48bff56;

/** Flash contents and the address of their first byte. */
export interface Uf2Image {
  readonly address: number;
  readonly bytes: Uint8Array;
}

/** The eight words at the start of block `i` of `count`. */
function headOf(address: number, i: number, count: number): number[] {
  const at = address + i * UF2_PAYLOAD;
  return [MAGIC_START_0, MAGIC_START_1, FLAG_FAMILY, at, UF2_PAYLOAD, i, count, FAMILY_RP2040];
}

/** The UF2 file that writes `bytes` at `address`. Throws unless both are multiples of a page. */
export function encodeUf2(bytes: Uint8Array, address: number): Uint8Array {
  if (bytes.length % UF2_PAYLOAD || address % UF2_PAYLOAD)
    throw new Error("UF2 image is not made of whole pages");
  const count = bytes.length / UF2_PAYLOAD;
  const file = new Uint8Array(count * UF2_BLOCK);
  const view = new DataView(file.buffer);
  for (let i = 0; i < count; i++) {
    const block = i * UF2_BLOCK;
    headOf(address, i, count).forEach((word, at) => {
      view.setUint32(block + 4 * at, word, true);
    });
    file.set(bytes.subarray(i * UF2_PAYLOAD, (i + 1) * UF2_PAYLOAD), block + DATA_AT);
    view.setUint32(block + MAGIC_END_AT, MAGIC_END, true);
  }
  return file;
}

/** The image in a UF2 file for the RP2040. Throws on another chip family, a damaged or missing block, or a gap. */
export function decodeUf2(file: Uint8Array): Uf2Image {
  const count = file.length / UF2_BLOCK;
  if (!Number.isInteger(count) || count === 0)
    throw new Error("a UF2 file is a whole number of 512-byte blocks");
  const bytes = new Uint8Array(count * UF2_PAYLOAD);
  const view = new DataView(file.buffer, file.byteOffset, file.byteLength);
  const address = view.getUint32(ADDRESS_AT, true);
  for (let i = 0; i < count; i++) {
    const block = i * UF2_BLOCK;
    const word = (at: number): number => view.getUint32(block + at, true);
    const good = headOf(address, i, count).every((value, at) => word(4 * at) === value);
    if (!good || word(MAGIC_END_AT) !== MAGIC_END) {
      throw new Error(`block ${i + 1} of ${count} of the UF2 file is not what an RP2040 image has there`);
    }
    bytes.set(file.subarray(block + DATA_AT, block + DATA_AT + UF2_PAYLOAD), i * UF2_PAYLOAD);
  }
  return { address, bytes };
}
