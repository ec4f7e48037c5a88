// CRC-32C against the published check and residue values, and against a bit-by-bit version of its definition.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { crc32c } from "#host/codec/crc32c.ts";
import vectors from "../../reference/codec-vectors.json" with { type: "json" };

const ascii = (text: string): Uint8Array => new TextEncoder().encode(text);
const row = (length: number, at: (i: number) => number): Uint8Array =>
  Uint8Array.from({ length }, (_, i) => at(i));

/** Inputs by the names that the vectors give them. */
const INPUTS: Record<string, Uint8Array> = {
  empty: row(0, () => 0),
  "123456789": ascii("123456789"),
  "one 00 byte": row(1, () => 0),
  "one FF byte": row(1, () => 255),
  "32 x 00": row(32, () => 0),
  "32 x FF": row(32, () => 255),
  "00..1F ascending": row(32, (i) => i),
  "1F..00 descending": row(32, (i) => 31 - i),
  "00..FF ascending": row(256, (i) => i),
  "252 x 00": row(252, () => 0),
  "00..FB ascending (252 bytes)": row(252, (i) => i),
  "The quick brown fox jumps over the lazy dog": ascii("The quick brown fox jumps over the lazy dog"),
};

/** The definition: each bit through the reflected polynomial, most significant bit of the register out last. */
function bitByBit(bytes: Uint8Array): number {
  let crc = 0xffffffff;
  for (const byte of bytes) {
    for (let bit = 0; bit < 8; bit++) {
      const out = (crc ^ (byte >> bit)) & 1;
      crc = (crc >>> 1) ^ (out ? 0x82f63b78 : 0);
    }
  }
  return ~crc >>> 0;
}

describe("reference values (RevEng catalogue; tests/reference/codec-vectors.json)", () => {
  test("published check value", () => {
    expect(crc32c(ascii("123456789"))).toBe(Number(vectors.crc32c.published_check_123456789));
  });
  test("published residue: data with its own CRC behind it", () => {
    const crc = crc32c(ascii("123456789"));
    const tail = row(4, (i) => (crc >>> (8 * i)) & 255);
    const register = ~crc32c(Uint8Array.from([...ascii("123456789"), ...tail])) >>> 0;
    expect(register).toBe(Number(vectors.crc32c.published_residue));
  });
  test.each(Object.entries(vectors.crc32c.computed))("%s", (name, value) => {
    expect(crc32c(INPUTS[name]!)).toBe(Number(value));
  });
});

test.prop([fc.uint8Array({ maxLength: 300 })])("is the bit-by-bit definition", (bytes) => {
  expect(crc32c(bytes)).toBe(bitByBit(bytes));
});

test.prop([fc.uint8Array(), fc.uint8Array()])("goes on where it stopped", (a, b) => {
  expect(crc32c(b, crc32c(a))).toBe(crc32c(Uint8Array.from([...a, ...b])));
});
