// Bytes read out of the controller: of the active settings or of the log area, in pieces.
import type { LinkClient } from "./client.ts";
import { countFrom, inPieces, type Progress } from "./pieces.ts";

/** Bytes are kept count of in units of so many. */
const UNIT_BYTES = 16;

/** What to read: bytes from an offset on. Progress counts units of 16 bytes. */
export interface Stretch {
  readonly from: number;
  readonly length: number;
  readonly progress?: Progress | undefined;
}

/** Reads with requests of offset and length. Fails as a request does. */
export async function readBytes(
  client: LinkClient,
  name: "read" | "logRead",
  { from, length, progress }: Stretch,
): Promise<Uint8Array> {
  const bytes = new Uint8Array(length);
  const stretch = (first: number, count: number): { offset: number; length: number } => {
    const offset = first * UNIT_BYTES;
    return { offset: from + offset, length: Math.min(count * UNIT_BYTES, length - offset) };
  };
  await inPieces(client, {
    name,
    units: Math.ceil(length / UNIT_BYTES),
    unitBytes: UNIT_BYTES,
    outward: false,
    post: (first, count) => ({ values: stretch(first, count) }),
    take: ({ values, tail }, first, count) => {
      const asked = stretch(first, count);
      if (values.offset !== asked.offset || tail.length !== asked.length) return undefined;
      bytes.set(tail, first * UNIT_BYTES);
      return countFrom(first, count);
    },
    progress,
  });
  return bytes;
}
