// Reads bytes of the active settings or of the log area from the controller, in pieces.
import type { LinkClient } from "./client.ts";
import { countFrom, inPieces, type Progress } from "./pieces.ts";

/** Progress is counted in units of this many bytes. */
const UNIT_BYTES = 16;

/** What to read: a number of bytes from an offset. Progress is counted in units of 16 bytes. */
export interface Stretch {
  readonly from: number;
  readonly length: number;
  readonly progress?: Progress | undefined;
}

/** Reads the range with requests that carry an offset and a length. Fails as a request does. */
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
