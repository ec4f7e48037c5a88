// One frame of the link: COBS(sequence, kind, payload, CRC-32C little-endian) and a closing zero. Damage gives undefined, never an exception.
import { cobsDecode, cobsEncode, cobsMaxBytes } from "#host/codec/cobs.ts";
import { crc32c } from "#host/codec/crc32c.ts";
import { MAX_PAYLOAD, type Payload, packedBytes } from "#shared-schema/link/messages.ts";

/** A frame taken apart. Sequence number and kind are 0 to 255. */
export interface Frame {
  readonly sequence: number;
  readonly kind: number;
  readonly payload: Uint8Array;
}

const HEAD_BYTES = 2;
const CRC_BYTES = 4;
/** Longest frame as it stands on the line, without its closing zero. */
export const FRAME_MAX_BYTES = cobsMaxBytes(HEAD_BYTES + MAX_PAYLOAD + CRC_BYTES);

/** Most bytes on the line of a frame with this payload and so many bytes in its tail. */
export const frameBytes = (payload: Payload, tail = 0): number =>
  cobsMaxBytes(HEAD_BYTES + packedBytes(payload) + tail + CRC_BYTES) + 1;

/** Bytes of a frame on the line, closing zero included. Throws a RangeError for a payload that is too long. */
export function encodeFrame({ sequence, kind, payload }: Frame): Uint8Array {
  if (payload.length > MAX_PAYLOAD) throw new RangeError(`a payload of ${payload.length} bytes is too long`);
  const body = new Uint8Array(HEAD_BYTES + payload.length + CRC_BYTES);
  body.set([sequence, kind]);
  body.set(payload, HEAD_BYTES);
  const end = HEAD_BYTES + payload.length;
  new DataView(body.buffer).setUint32(end, crc32c(body.subarray(0, end)), true);
  return Uint8Array.from([...cobsEncode(body), 0]);
}

/** Takes apart what stood before a closing zero. Undefined when it is damaged, too short or too long. */
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
