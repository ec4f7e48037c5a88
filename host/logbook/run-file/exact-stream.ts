// An exact stream in the chunks of a run file: each says how long the whole is and where its piece lies.
import { type Chunk, MOST_BYTES } from "./chunk.ts";

/** Type of these chunks. */
export const EXACT_TYPE = "TICK";
const HEAD_BYTES = 8;
const PIECE_BYTES = MOST_BYTES - HEAD_BYTES;

/** The chunks of a stream. */
export function exactChunks(stream: Uint8Array): Chunk[] {
  const count = Math.ceil(stream.length / PIECE_BYTES);
  return Array.from({ length: count }, (_, i) => {
    const piece = stream.subarray(i * PIECE_BYTES, (i + 1) * PIECE_BYTES);
    const bytes = new Uint8Array(HEAD_BYTES + piece.length);
    const view = new DataView(bytes.buffer);
    view.setUint32(0, stream.length, true);
    view.setUint32(4, i * PIECE_BYTES, true);
    bytes.set(piece, HEAD_BYTES);
    return { type: EXACT_TYPE, bytes };
  });
}

/** Puts a stream together again; undefined when a piece is missing or does not fit. */
export function exactOf(chunks: readonly Uint8Array[]): Uint8Array | undefined {
  const stream: Uint8Array[] = [];
  let [at, length] = [0, 0];
  for (const bytes of chunks) {
    if (bytes.length <= HEAD_BYTES) return undefined;
    const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
    length = view.getUint32(0, true);
    if (view.getUint32(4, true) !== at) return undefined;
    stream.push(bytes.subarray(HEAD_BYTES));
    at += bytes.length - HEAD_BYTES;
  }
  return at === length && at > 0 ? new Uint8Array(Buffer.concat(stream)) : undefined;
}
