// Encodes and decodes payloads by the field lists of the messages: little-endian, in order, without gaps.

import { type Payload, packedBytes } from "#shared-schema/link/messages.ts";
import type { BlockField } from "#shared-schema/model/blocks.ts";
import { FIELD_BYTES } from "#shared-schema/model/layout.ts";

/** Values by field name; a field with a count above 1 is a list. */
export type Values = Readonly<Record<string, number | readonly number[]>>;

/** A decoded payload. */
export interface Decoded {
  readonly values: Values;
  readonly tail: Uint8Array;
}

type Put = (view: DataView, at: number, value: number) => void;
type Get = (view: DataView, at: number) => number;

const TYPES: Readonly<Record<BlockField["type"], { put: Put; get: Get }>> = {
  u8: { put: (v, at, x) => v.setUint8(at, x), get: (v, at) => v.getUint8(at) },
  u16: { put: (v, at, x) => v.setUint16(at, x, true), get: (v, at) => v.getUint16(at, true) },
  i16: { put: (v, at, x) => v.setInt16(at, x, true), get: (v, at) => v.getInt16(at, true) },
  u32: { put: (v, at, x) => v.setUint32(at, x, true), get: (v, at) => v.getUint32(at, true) },
  i32: { put: (v, at, x) => v.setInt32(at, x, true), get: (v, at) => v.getInt32(at, true) },
};

/** Encodes a payload. Throws on a missing value, or on a tail that the layout does not allow: both are mistakes of the caller. */
export function encodePayload(
  layout: Payload,
  values: Values,
  tail: Uint8Array = new Uint8Array(),
): Uint8Array {
  if (tail.length > (layout.tail ?? 0)) throw new RangeError(`a tail of ${tail.length} bytes is too long`);
  const fixed = packedBytes(layout);
  const bytes = new Uint8Array(fixed + tail.length);
  const view = new DataView(bytes.buffer);
  let at = 0;
  for (const field of layout.fields) {
    const given = values[field.name];
    const list = typeof given === "number" ? [given] : given;
    if (list?.length !== (field.count ?? 1)) throw new TypeError(`no fitting value for ${field.name}`);
    for (const value of list) {
      TYPES[field.type].put(view, at, value);
      at += FIELD_BYTES[field.type];
    }
  }
  bytes.set(tail, fixed);
  return bytes;
}

/** Decodes a payload. Returns undefined when the length is wrong. */
export function decodePayload(layout: Payload, bytes: Uint8Array): Decoded | undefined {
  const fixed = packedBytes(layout);
  if (bytes.length < fixed || bytes.length > fixed + (layout.tail ?? 0)) return undefined;
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  let at = 0;
  const next = (type: BlockField["type"]): number => {
    const value = TYPES[type].get(view, at);
    at += FIELD_BYTES[type];
    return value;
  };
  const values = layout.fields.map(({ name, type, count }) => {
    const list = Array.from({ length: count ?? 1 }, () => next(type));
    return [name, count === undefined ? list[0]! : list] as const;
  });
  return { values: Object.fromEntries(values), tail: bytes.subarray(fixed) };
}

/** One number out of decoded values. Throws when the layout has no such field, which is a mistake of the caller. */
export function numberOf(values: Values, name: string): number {
  const value = values[name];
  if (typeof value !== "number") throw new TypeError(`no number called ${name}`);
  return value;
}
