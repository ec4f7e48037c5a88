// NOR flash: what programming and erasing may do to bits, how long they take, and what a cut leaves.

import { readFileSync } from "node:fs";
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { VirtualClock } from "#host/bench/board/clock.ts";
import { NorFlash } from "#host/bench/board/outside/nor-flash.ts";
import { SLOWEST, TYPICAL } from "#host/bench/board/part-times.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";
import { runs } from "../../../../support/effort.ts";

const { W25Q16JV, RP2040 } = JSON.parse(readFileSync("tests/reference/parts.json", "utf8"));
const { sectorEraseNs: SECTOR_ERASE_NS, pageProgramNs: PAGE_PROGRAM_NS } = TYPICAL;
const page = fc.uint8Array({ minLength: FLASH.page, maxLength: FLASH.page });
const sector = fc.integer({ min: 0, max: FLASH.bytes / FLASH.sector - 1 });

function flash(): { clock: VirtualClock; nor: NorFlash; settle(): void } {
  const clock = new VirtualClock();
  const nor = new NorFlash(clock);
  return { clock, nor, settle: () => clock.advanceTo(clock.nanos + 1e12) };
}

test("sizes and times are those of the reference", () => {
  expect(FLASH.page).toBe(W25Q16JV.seen.page_bytes);
  expect(FLASH.sector).toBe(RP2040.flash_api.sector_bytes);
  expect(FLASH.bytes).toBe(W25Q16JV.seen.pages * W25Q16JV.seen.page_bytes);
  expect(SECTOR_ERASE_NS).toBe(W25Q16JV.timing.sector_erase_4K_ms.typ * 1e6);
  expect(PAGE_PROGRAM_NS).toBe(W25Q16JV.timing.page_program_ms.typ * 1e6);
  expect(SLOWEST.sectorEraseNs).toBe(W25Q16JV.timing.sector_erase_4K_ms.max * 1e6);
  expect(SLOWEST.pageProgramNs).toBe(W25Q16JV.timing.page_program_ms.max * 1e6);
});

test.prop([page, page, sector], runs(20))(
  "programming twice leaves the AND, and nothing else changes",
  (first, second, number) => {
    const { nor, settle } = flash();
    const offset = number * FLASH.sector + 512;
    nor.program(offset, first);
    settle();
    nor.program(offset, second);
    settle();
    const expected = new Uint8Array(FLASH.bytes).fill(0xff);
    expected.set(
      first.map((byte, i) => byte & second[i]!),
      offset,
    );
    expect(Buffer.compare(nor.bytes, expected)).toBe(0);
  },
);

test.prop([page, sector], runs(20))("erasing sets one sector and leaves its neighbours", (data, number) => {
  const { nor, settle } = flash();
  nor.bytes.fill(0x5a);
  nor.erase(number * FLASH.sector, FLASH.sector);
  settle();
  const expected = new Uint8Array(FLASH.bytes).fill(0x5a);
  expected.fill(0xff, number * FLASH.sector, (number + 1) * FLASH.sector);
  expect(Buffer.compare(nor.bytes, expected)).toBe(0);
  expect(nor.erases[number]).toBe(1);
  nor.program(number * FLASH.sector, data);
  settle();
  expect(nor.bytes.subarray(number * FLASH.sector, number * FLASH.sector + FLASH.page)).toEqual(data);
});

test.prop([fc.nat(FLASH.sector), fc.nat(FLASH.page)], runs(20))(
  "only whole sectors and pages",
  (offset, count) => {
    const { nor } = flash();
    if (offset % FLASH.sector !== 0 || count % FLASH.sector !== 0)
      expect(() => nor.erase(offset, count)).toThrow();
    if (offset % FLASH.page !== 0 || count % FLASH.page !== 0) {
      expect(() => nor.program(offset, new Uint8Array(count))).toThrow();
    }
  },
);

test.prop([page, page, fc.double({ min: 0, max: 0.999, noNaN: true })], runs(20))(
  "a supply that fails inside a program leaves each byte old or new, and the flash idle",
  (before, data, share) => {
    const { clock, nor, settle } = flash();
    nor.program(0, before);
    settle();
    nor.program(0, data);
    clock.advanceTo(clock.nanos + Math.round(share * PAGE_PROGRAM_NS));
    nor.powerLost();
    const reached = Math.floor((Math.round(share * PAGE_PROGRAM_NS) / PAGE_PROGRAM_NS) * FLASH.page);
    expect(nor.bytes.subarray(reached, FLASH.page)).toEqual(before.subarray(reached));
    for (let i = 0; i < FLASH.page; i++) expect([before[i], before[i]! & data[i]!]).toContain(nor.bytes[i]);
    expect(nor.busy).toBe(false);
    const after = nor.bytes.slice();
    settle();
    expect(Buffer.compare(nor.bytes, after)).toBe(0);
  },
);

describe("time", () => {
  test("two sectors take twice as long as one, and nothing can be read meanwhile", () => {
    const { clock, nor } = flash();
    nor.erase(0, 2 * FLASH.sector);
    clock.advanceTo(2 * SECTOR_ERASE_NS - 1);
    expect(nor.busy).toBe(true);
    expect(() => nor.read(FLASH.sector * 9, 4)).toThrow("busy");
    clock.advanceTo(2 * SECTOR_ERASE_NS);
    expect(nor.busy).toBe(false);
    expect(nor.read(FLASH.sector * 9, 4)).toBe(0xffffffff);
  });

  test("a processor reset lets the running operation finish and drops the next", () => {
    const { clock, nor } = flash();
    nor.bytes.fill(0);
    nor.erase(0, 2 * FLASH.sector);
    clock.advanceTo(1e6);
    nor.processorReset();
    clock.advanceTo(1e9);
    expect(nor.bytes[0]).toBe(0xff);
    expect(nor.bytes[FLASH.sector]).toBe(0);
  });
});

test.prop([page, fc.nat(3), fc.integer({ min: 0, max: PAGE_PROGRAM_NS })], runs(20))(
  "a cut asked for at an operation strikes then and leaves what it says",
  (contents, number, afterNs) => {
    const { clock, nor } = flash();
    let cuts = 0;
    nor.onPowerCut = () => {
      cuts++;
      nor.powerLost();
    };
    nor.onOperation = ({ index }) => (index === number ? { afterNs, contents } : undefined);
    nor.program(0, new Uint8Array(4 * FLASH.page));
    clock.advanceTo(10 * PAGE_PROGRAM_NS);
    expect(cuts).toBe(1);
    expect(nor.bytes.subarray(number * FLASH.page, (number + 1) * FLASH.page)).toEqual(contents);
    expect(nor.bytes.subarray(0, number * FLASH.page).every((byte) => byte === 0)).toBe(true);
    expect(nor.bytes.subarray((number + 1) * FLASH.page).every((byte) => byte === 0xff)).toBe(true);
  },
);
