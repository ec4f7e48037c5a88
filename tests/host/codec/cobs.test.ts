// COBS against the published vectors of two independent libraries, and its own promises as properties.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { cobsDecode, cobsEncode, cobsMaxBytes } from "#host/codec/cobs.ts";
import vectors from "../../reference/codec-vectors.json" with { type: "json" };

const hex = (text: string): Uint8Array => Uint8Array.from(Buffer.from(text, "hex"));
const text = (bytes: Uint8Array): string => Buffer.from(bytes).toString("hex");
const vector = [...vectors.cobs.published, ...vectors.cobs.computed_extra] as {
  data: string;
  encoded: string;
}[];
const withZeros = fc.uint8Array({ maxLength: 700 }).map((bytes) => bytes.map((b) => (b < 8 ? 0 : b)));

describe("published vectors (cobs-c, cobs-python; tests/reference/codec-vectors.json)", () => {
  test.each(vector)("$encoded", ({ data, encoded }) => {
    expect(text(cobsEncode(hex(data)))).toBe(encoded);
    expect(text(cobsDecode(hex(encoded))!)).toBe(data);
  });
});

test.prop([withZeros])("decoding undoes encoding, without a zero, within the bound", (bytes) => {
  const encoded = cobsEncode(bytes);
  expect(encoded).not.toContain(0);
  expect(encoded.length).toBeLessThanOrEqual(cobsMaxBytes(bytes.length));
  expect(cobsDecode(encoded)).toEqual(bytes);
});

test.prop([fc.integer({ min: 0, max: 600 }), fc.integer({ min: 1, max: 255 })])(
  "runs without zeros",
  (length, byte) => {
    const bytes = new Uint8Array(length).fill(byte);
    expect(cobsDecode(cobsEncode(bytes))).toEqual(bytes);
  },
);

test.prop([fc.uint8Array({ minLength: 1, maxLength: 300 })])(
  "any bytes decode to something or to nothing",
  (bytes) => {
    const decoded = cobsDecode(bytes);
    if (decoded === undefined) return;
    expect(decoded.length).toBeLessThan(bytes.length);
  },
);

test.each(vectors.cobs.published_decode_errors)("$encoded is damage: $why", ({ encoded }) => {
  expect(cobsDecode(hex(encoded))).toBeUndefined();
});

test.each(Object.entries(vectors.cobs.encode_buffer_bound.published_values_of_cobs_c))(
  "%s bytes need room for %i",
  (length, room) => {
    expect(cobsMaxBytes(Number(length))).toBe(room);
  },
);

test("a closing empty group after a full one, as other encoders write it, adds nothing", () => {
  const full = new Uint8Array(254).fill(7);
  expect(cobsDecode(Uint8Array.from([...cobsEncode(full), 1]))).toEqual(full);
});
