// Chunks of a run file: {type, length, bytes, CRC-32C}. What is damaged is stepped over to the next whole chunk.
import { crc32c } from "#host/codec/crc32c.ts";

/** First bytes of every run file. A transfer that changes line ends or strips the eighth bit changes them. */
export const SIGNATURE = Uint8Array.of(0x89, ...Buffer.from("HGRUN\r\n", "latin1"));
/** Most bytes that a chunk may hold. */
export const MOST_BYTES = 65_536;

const HEAD_BYTES = 8;
const CRC_BYTES = 4;
const TYPE_BYTES = 4;

/** One chunk. Its type is four capital letters or digits. */
export interface Chunk {
  readonly type: string;
  readonly bytes: Uint8Array;
}

/** A stretch of a file that is no whole chunk, from its first byte to the one after its last. */
export interface Damage {
  readonly from: number;
  readonly to: number;
}

/** Everything in a file, in its order. */
export type Piece = Chunk | Damage;

export const isChunk = (piece: Piece): piece is Chunk => "type" in piece;

/** Bytes of one chunk as it stands in a file. Throws a RangeError for a chunk that is too long. */
export function chunkBytes({ type, bytes }: Chunk): Uint8Array {
  if (bytes.length > MOST_BYTES) throw new RangeError(`a chunk of ${bytes.length} bytes`);
  const all = new Uint8Array(HEAD_BYTES + bytes.length + CRC_BYTES);
  const view = new DataView(all.buffer);
  all.set(Buffer.from(type, "latin1"));
  view.setUint32(TYPE_BYTES, bytes.length, true);
  all.set(bytes, HEAD_BYTES);
  const end = HEAD_BYTES + bytes.length;
  view.setUint32(end, crc32c(all.subarray(0, end)), true);
  return all;
}

const isTypeByte = (byte: number): boolean =>
  (byte >= 0x41 && byte <= 0x5a) || (byte >= 0x30 && byte <= 0x39);

/** Where the chunk at this place ends by what its head says; undefined where no head of a chunk stands. */
function endOf(file: DataView, at: number): number | undefined {
  if (at + HEAD_BYTES + CRC_BYTES > file.byteLength) return undefined;
  for (let i = 0; i < TYPE_BYTES; i++) if (!isTypeByte(file.getUint8(at + i))) return undefined;
  const length = file.getUint32(at + TYPE_BYTES, true);
  const end = at + HEAD_BYTES + length + CRC_BYTES;
  return length <= MOST_BYTES && end <= file.byteLength ? end : undefined;
}

/** Where the whole chunk at this place ends; undefined when there is none. */
function wholeEnd(bytes: Uint8Array, view: DataView, at: number): number | undefined {
  const end = endOf(view, at);
  if (end === undefined) return undefined;
  const crcAt = end - CRC_BYTES;
  return view.getUint32(crcAt, true) === crc32c(bytes.subarray(at, crcAt)) ? end : undefined;
}

function chunkFrom(bytes: Uint8Array, at: number, end: number): Chunk {
  const type = Buffer.from(bytes.subarray(at, at + TYPE_BYTES)).toString("latin1");
  return { type, bytes: bytes.slice(at + HEAD_BYTES, end - CRC_BYTES) };
}

/** Is the signature at the beginning of the file whole? */
export const hasSignature = (file: Uint8Array): boolean => SIGNATURE.every((byte, i) => file[i] === byte);

/** The pieces of a file behind its signature; where that is not whole, all of the file is searched. */
export function piecesOf(file: Uint8Array): Piece[] {
  const view = new DataView(file.buffer, file.byteOffset, file.length);
  const pieces: Piece[] = [];
  let [at, damagedFrom] = hasSignature(file) ? [SIGNATURE.length, SIGNATURE.length] : [0, 0];
  const endDamage = (): void => {
    if (damagedFrom < at) pieces.push({ from: damagedFrom, to: at });
  };
  while (at < file.length) {
    const end = wholeEnd(file, view, at);
    if (end === undefined) {
      at += 1;
      continue;
    }
    endDamage();
    pieces.push(chunkFrom(file, at, end));
    at = end;
    damagedFrom = end;
  }
  endDamage();
  return pieces;
}
