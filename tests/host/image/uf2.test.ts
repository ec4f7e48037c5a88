// UF2 files against the specification's published layout, against an independent package, and with damage.
import { createHash } from "node:crypto";
import { fc, test } from "@fast-check/vitest";
import { decodeBlock } from "uf2";
import { describe, expect } from "vitest";
import { decodeUf2, encodeUf2, UF2_BLOCK, UF2_PAYLOAD } from "#host/image/uf2.ts";
import vectors from "../../reference/image-vectors.json" with { type: "json" };

const FLASH = 0x10000000;
const pages = fc
  .tuple(fc.integer({ min: 1, max: 20 }), fc.integer({ min: 0, max: 1000 }), fc.uint8Array({ minLength: 1 }))
  .map(([count, page, seed]) => ({
    address: FLASH + page * UF2_PAYLOAD,
    bytes: Uint8Array.from({ length: count * UF2_PAYLOAD }, (_, i) => seed[i % seed.length]! ^ (i >> 8)),
  }));

describe("reference (tests/reference/image-vectors.json)", () => {
  test("the computed example block", () => {
    const { header_hex, trailer_hex, sha256_of_block } = vectors.uf2.computed_example;
    const block = encodeUf2(
      Uint8Array.from({ length: 256 }, (_, i) => i),
      FLASH,
    );
    expect(Buffer.from(block.subarray(0, 32)).toString("hex")).toBe(header_hex);
    expect(Buffer.from(block.subarray(508)).toString("hex")).toBe(trailer_hex);
    expect(createHash("sha256").update(block).digest("hex")).toBe(sha256_of_block);
  });
});

describe("encodeUf2", () => {
  test.prop([pages])("is read back by the package uf2, block by block", ({ address, bytes }) => {
    const file = encodeUf2(bytes, address);
    for (let i = 0; i * UF2_BLOCK < file.length; i++) {
      const block = decodeBlock(file.subarray(i * UF2_BLOCK, (i + 1) * UF2_BLOCK));
      expect(block.blockNumber).toBe(i);
      expect(block.totalBlocks).toBe(bytes.length / UF2_PAYLOAD);
      expect(block.flashAddress).toBe(address + i * UF2_PAYLOAD);
      expect(block.boardFamily).toBe(Number(vectors.uf2.family_ids.RP2040));
      expect(Buffer.compare(block.payload, bytes.subarray(i * UF2_PAYLOAD, (i + 1) * UF2_PAYLOAD))).toBe(0);
    }
  });

  test("refuses what is not whole pages", () => {
    expect(() => encodeUf2(new Uint8Array(255), FLASH)).toThrow("whole pages");
    expect(() => encodeUf2(new Uint8Array(256), FLASH + 1)).toThrow("whole pages");
  });
});

describe("decodeUf2", () => {
  test.prop([pages])("gives back what was encoded", ({ address, bytes }) => {
    const image = decodeUf2(encodeUf2(bytes, address));
    expect(image.address).toBe(address);
    expect(Buffer.compare(image.bytes, bytes)).toBe(0);
  });

  const headerByte = fc.oneof(fc.integer({ min: 0, max: 31 }), fc.integer({ min: 508, max: 511 }));
  test.prop([pages, fc.nat(), headerByte, fc.integer({ min: 1, max: 255 })])(
    "refuses a file with a changed byte outside the data, unless only the base address moves with it",
    ({ address, bytes }, block, at, change) => {
      const file = encodeUf2(bytes, address);
      const blocks = file.length / UF2_BLOCK;
      file[(block % blocks) * UF2_BLOCK + at]! ^= change;
      const isBase = blocks === 1 && at >= 12 && at < 16;
      if (isBase) expect(decodeUf2(file).address).not.toBe(address);
      else expect(() => decodeUf2(file)).toThrow("UF2");
    },
  );

  test.prop([pages, fc.nat()])("refuses a file that is cut short", ({ address, bytes }, keep) => {
    const file = encodeUf2(bytes, address);
    expect(() => decodeUf2(file.subarray(0, keep % file.length))).toThrow("UF2");
  });
});
