// One frame of the link: COBS(sequence, kind, payload, CRC-32C little-endian) and a closing zero. A damaged frame decodes to undefined and never throws.
import { cobsDecode, cobsEncode, cobsMaxBytes } from "#host/codec/cobs.ts";
import { crc32c } from "#host/codec/crc32c.ts";
import { MAX_PAYLOAD, type Payload, packedBytes } from "#shared-schema/link/messages.ts";

/** A decoded frame. Sequence number and kind are 0 to 255. */
export interface Frame {
  readonly sequence: number;
  readonly kind: number;
  readonly payload: Uint8Array;
}

const HEAD_BYTES = 2;
const CRC_BYTES = 4;
/** Longest encoded frame, without its closing zero. */
export const FRAME_MAX_BYTES = cobsMaxBytes(HEAD_BYTES + MAX_PAYLOAD + CRC_BYTES);

/** Most bytes that a frame with this payload and a tail of this length takes on the line. */
export const frameBytes = (payload: Payload, tail = 0): number =>
  cobsMaxBytes(HEAD_BYTES + packedBytes(payload) + tail + CRC_BYTES) + 1;

/** Encodes a frame, including its closing zero. Throws a RangeError when the payload is too long. */
export function encodeFrame({ sequence, kind, payload }: Frame): Uint8Array {
  if (payload.length > MAX_PAYLOAD) throw new RangeError(`a payload of ${payload.length} bytes is too long`);
  const body = new Uint8Array(HEAD_BYTES + payload.length + CRC_BYTES);
  body.set([sequence, kind]);
  body.set(payload, HEAD_BYTES);
  const end = HEAD_BYTES + payload.length;
  new DataView(body.buffer).setUint32(end, crc32c(body.subarray(0, end)), true);
  return Uint8Array.from([...cobsEncode(body), 0]);
}

/** Decodes the bytes before a closing zero. Returns undefined when they are damaged, too few or too many. */
export function decodeFrame(encoded: Uint8Array): Frame | undefined {
  if (encoded.length > FRAME_MAX_BYTES + 1) return undefined;
  const body = cobsDecode(encoded);
  if (body === undefined || body.length < HEAD_BYTES + CRC_BYTES) return undefined;
  const end = body.length - CRC_BYTES;
  if (end - HEAD_BYTES > MAX_PAYLOAD) return undefined;
  const view = new DataView(body.buffer, body.byteOffset, body.byteLength);
  if (view.getUint32(end, true) !== crc32c(body.subarray(0, end))) return undefined;
  return { sequence: body[0]!, kind: body[1]!, payload: body.subarray(HEAD_BYTES, end) };
}
