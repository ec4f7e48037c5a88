// The released files against each other and against what the boot ROM and the start-up check ask of them.
import { createHash } from "node:crypto";
import { readFileSync } from "node:fs";
import { decodeBlock } from "uf2";
import { describe, expect, test } from "vitest";
import { FLASH_BASE, imageOf, packVersion } from "#firmware/build/image.ts";
import { hashOfSources } from "#firmware/build/sources.ts";
import { crc32Mpeg2 } from "#host/codec/crc32-mpeg2.ts";
import { crc32c } from "#host/codec/crc32c.ts";
import { readElf } from "#host/image/elf.ts";
import { HEADER } from "#host/image/header.ts";
import { FINGERPRINT } from "#shared-schema/generated/fingerprint.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";
import manifest from "../../../firmware/image/manifest.json" with { type: "json" };
import project from "../../../package.json" with { type: "json" };

const { version } = project;
const root = new URL("../../../", import.meta.url).pathname;
const released = (name: string): Uint8Array => new Uint8Array(readFileSync(`${root}firmware/image/${name}`));
const elf = readElf(released("headgate.elf"));

/** The flash contents that the independent package reads out of the released UF2 file. */
function flashed(): Uint8Array {
  const file = released("headgate.uf2");
  const blocks = Array.from({ length: file.length / 512 }, (_, i) =>
    decodeBlock(file.subarray(512 * i, 512 * (i + 1))),
  );
  const image = new Uint8Array(blocks.length * 256).fill(0);
  for (const block of blocks) image.set(block.payload, block.flashAddress - FLASH_BASE);
  return image;
}

const image = flashed();
const word = (offset: number): number => new DataView(image.buffer).getUint32(offset, true);

describe("the released UF2 file", () => {
  test("second boot stage: CRC-32/MPEG-2 of bytes 0 to 251, little-endian at 252 (boot ROM source)", () => {
    expect(word(252)).toBe(crc32Mpeg2(image.subarray(0, 252)));
  });

  test("vectors: stack at the end of SRAM, reset handler in flash with its Thumb bit", () => {
    expect(word(0x100)).toBe(0x20042000);
    expect(word(0x104) & 1).toBe(1);
    expect(word(0x104) - FLASH_BASE).toBeGreaterThan(FLASH.imageHeader);
    expect(word(0x104) - FLASH_BASE).toBeLessThan(FLASH.sector);
  });

  test("image header", () => {
    expect(Buffer.from(image.subarray(HEADER.magic, HEADER.magic + 4)).toString("latin1")).toBe("HDGT");
    expect(word(HEADER.length)).toBe(image.length);
    expect(word(HEADER.version)).toBe(packVersion(version));
    expect(word(HEADER.fingerprint)).toBe(FINGERPRINT);
    const zeroed = image.slice();
    zeroed.fill(0, HEADER.crc, HEADER.crc + 4);
    expect(word(HEADER.crc)).toBe(crc32c(zeroed));
  });

  test("fills whole sectors and leaves the data area alone", () => {
    expect(image.length % FLASH.sector).toBe(0);
    expect(image.length).toBeLessThanOrEqual(FLASH.dataStart);
  });

  test("is what the released ELF file gives", () => {
    expect(Buffer.compare(image, imageOf(elf, version))).toBe(0);
  });
});

describe("the manifest", () => {
  test.each(Object.entries(manifest.sha256))("names the hash of %s", (name, hash) => {
    expect(createHash("sha256").update(released(name)).digest("hex")).toBe(hash);
  });

  test("was made from the sources as they are (else: npm run firmware)", () => {
    expect(manifest.sources).toBe(hashOfSources(root));
  });
});

test("a version that does not fit the header is refused", () => {
  expect(packVersion("1.2.3")).toBe(0x010203);
  for (const bad of ["1.2", "1.2.256", "1.2.3-rc", ""]) expect(() => packVersion(bad)).toThrow("version");
});
