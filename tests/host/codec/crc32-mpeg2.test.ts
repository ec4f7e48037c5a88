// CRC-32/MPEG-2 against the published check value and residue, and the values computed bit by bit elsewhere.
import { describe, expect, test } from "vitest";
import { crc32Mpeg2 } from "#host/codec/crc32-mpeg2.ts";
import vectors from "../../reference/image-vectors.json" with { type: "json" };

const { published_check_123456789, published_residue, computed } = vectors.crc32Mpeg2;
const row = (length: number, at: (i: number) => number): Uint8Array =>
  Uint8Array.from({ length }, (_, i) => at(i));

const INPUTS: [keyof typeof computed, Uint8Array][] = [
  ["empty", row(0, () => 0)],
  ["one 00 byte", row(1, () => 0)],
  ["one FF byte", row(1, () => 255)],
  ["32 x 00", row(32, () => 0)],
  ["32 x FF", row(32, () => 255)],
  ["00..FF ascending", row(256, (i) => i)],
  ["252 x 00", row(252, () => 0)],
  ["00..FB ascending (252 bytes)", row(252, (i) => i)],
];

describe("reference values (RevEng catalogue; tests/reference/image-vectors.json)", () => {
  test("published check value", () => {
    expect(crc32Mpeg2(new TextEncoder().encode("123456789"))).toBe(Number(published_check_123456789));
  });

  test("published residue: a message followed by its CRC, most significant byte first", () => {
    const message = row(252, (i) => i);
    const whole = new Uint8Array(256);
    whole.set(message);
    new DataView(whole.buffer).setUint32(252, crc32Mpeg2(message), false);
    expect(crc32Mpeg2(whole)).toBe(Number(published_residue));
  });

  test.each(INPUTS)("%s", (name, bytes) => {
    expect(crc32Mpeg2(bytes)).toBe(Number(computed[name]));
  });
});
