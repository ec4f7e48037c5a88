// The ROM's flash functions as a program calls them from RAM, and the order that they need.
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { romCode } from "#host/bench/board/chip/rom.ts";
import { XipWindow } from "#host/bench/board/chip/xip.ts";
import { VirtualClock } from "#host/bench/board/clock.ts";
import { NorFlash } from "#host/bench/board/outside/nor-flash.ts";
import { TYPICAL } from "#host/bench/board/part-times.ts";
import { Assembler } from "../support/assembler.ts";
import { bench } from "../support/bare-chip.ts";

const { RP2040 } = JSON.parse(readFileSync("tests/reference/parts.json", "utf8"));
const CODES = RP2040.rom_function_table.codes as Record<string, [string, number]>;
const SRAM = 0x20000000;
const CALLER = SRAM + 0x1000;
const SECTOR = 4096;
const { sectorEraseNs: SECTOR_ERASE_NS, pageProgramNs: PAGE_PROGRAM_NS } = TYPICAL;
const AT = 0x100000;

/** A sleeping board with a way to call ROM functions from code in RAM, one after the other. */
function caller() {
  const to = bench();
  const { core, sram } = to.board.chip.rp2040;
  const half = (address: number) => core.readUint16(address);

  function find(name: string): number {
    for (let at = half(0x14); half(at) !== 0; at += 4) if (half(at) === romCode(name)) return half(at + 2);
    throw new Error(`no ROM function ${name}`);
  }

  /** Starts a call with its arguments; it runs when the board does, and ends in an endless loop. */
  function begin(name: string, ...args: number[]): void {
    const code = new Assembler(CALLER);
    for (const [register, value] of args.entries()) code.load(register, value);
    sram.set(code.load(4, find(name)).raw(0x47a0).halt().bytes(), CALLER - SRAM);
    core.PC = CALLER;
    core.waiting = false;
  }

  function call(name: string, ...args: number[]): void {
    begin(name, ...args);
    to.board.runFor(1);
    while (to.board.flash.busy) to.board.runFor(100);
    to.board.runFor(1);
  }

  const xip = (address: number) => core.readUint32(0x10000000 + address) >>> 0;
  return { ...to, find, begin, call, xip, sram };
}

describe("function table", () => {
  test("the magic and the codes are those of the published ROM", () => {
    const to = caller();
    const { core } = to.board.chip.rp2040;
    expect(String.fromCharCode(core.readUint8(0x10), core.readUint8(0x11))).toBe("Mu");
    for (const [characters, code] of Object.values(CODES)) expect(romCode(characters)).toBe(code);
    for (const name of ["IF", "EX", "RE", "RP", "FC", "CX", "UB", "MC", "MS"]) {
      expect(to.find(name) & 1).toBe(1);
    }
  });

  test("the look-up function finds the same pointers, and 0 for what is not there", () => {
    const to = caller();
    const { core, sram } = to.board.chip.rp2040;
    const lookUp = (code: number) => {
      const asm = new Assembler(CALLER);
      asm.load(0, core.readUint16(0x14)).load(1, code).load(4, core.readUint16(0x18)).raw(0x47a0).halt();
      sram.set(asm.bytes(), CALLER - SRAM);
      core.PC = CALLER;
      core.waiting = false;
      to.board.runFor(1);
      return core.registers[0];
    };
    expect(lookUp(romCode("RE"))).toBe(to.find("RE"));
    expect(lookUp(romCode("ZZ"))).toBe(0);
  });
});

describe("a flash write", () => {
  test("erase and program in the published order change the flash and take their time", () => {
    const to = caller();
    to.board.flash.bytes.fill(0, AT, AT + SECTOR);
    const page = Uint8Array.from({ length: 256 }, (_, i) => i);
    to.sram.set(page, 0x2000);
    to.call("IF");
    to.call("EX");
    const startNs = to.board.nowNs;
    const { instructions } = to.board;
    to.call("RE", AT, SECTOR, 65536, 0xd8);
    expect(to.board.nowNs - startNs).toBeGreaterThanOrEqual(SECTOR_ERASE_NS);
    expect(to.board.nowNs - startNs).toBeLessThan(SECTOR_ERASE_NS + 200_000);
    expect(to.board.instructions - instructions).toBeLessThan(100_000);
    const programNs = to.board.nowNs;
    to.call("RP", AT + 256, SRAM + 0x2000, 256);
    expect(to.board.nowNs - programNs).toBeGreaterThanOrEqual(PAGE_PROGRAM_NS);
    to.call("FC");
    to.call("CX");
    expect(to.xip(AT)).toBe(0xffffffff);
    expect(to.xip(AT + 256)).toBe(0x03020100);
    expect(to.board.flash.operations).toBe(2);
  });

  test("interrupts are taken while the ROM waits for the flash", () => {
    const to = caller();
    to.call("IF");
    to.call("EX");
    const { core } = to.board.chip.rp2040;
    const vectors = SRAM + 0x4000;
    to.sram.set(new Assembler(SRAM + 0x5000).poke(SRAM, 7).poke(0x40054034, 1).raw(0x4770).bytes(), 0x5000);
    core.VTOR = vectors;
    core.writeUint32(vectors + 64, (SRAM + 0x5000) | 1);
    to.write(0x40054038, 1);
    to.write(0xe000e100, 1);
    to.write(0x40054010, to.read(0x40054028) + 5000);
    to.begin("RE", AT, SECTOR, 65536, 0xd8);
    to.board.runFor(10_000);
    expect(to.board.flash.busy).toBe(true);
    expect(to.read(SRAM)).toBe(7);
  });

  test("reading flash while it is away is refused", () => {
    const to = caller();
    to.call("IF");
    expect(() => to.xip(AT)).toThrow("connected");
    to.call("EX");
    expect(() => to.xip(AT)).toThrow("commands");
    to.begin("RE", AT, SECTOR, 65536, 0xd8);
    to.board.runFor(1);
    expect(() => to.xip(AT)).toThrow("commands");
  });

  test("a source outside SRAM, a part of a page and a part of a sector are refused", () => {
    for (const args of [
      ["RP", AT, 0x10000000, 256],
      ["RP", AT, SRAM, 255],
      ["RE", AT, 256, 65536, 0xd8],
    ] as const) {
      const to = caller();
      to.call("IF");
      to.call("EX");
      const [name, ...rest] = args;
      expect(() => to.call(name, ...rest)).toThrow();
    }
  });
});

describe("order", () => {
  const window = () => new XipWindow(new NorFlash(new VirtualClock()));

  test.each([
    ["exit before connect", (xip: XipWindow) => xip.exitXip()],
    [
      "erase before exit",
      (xip: XipWindow) => {
        xip.connect();
        xip.erase(0, SECTOR);
      },
    ],
    [
      "program while flash is open for reading",
      (xip: XipWindow) => {
        xip.open();
        xip.program(0, new Uint8Array(256));
      },
    ],
    ["read before the second stage", (xip: XipWindow) => xip.read(0, 4)],
    [
      "read with a stale cache",
      (xip: XipWindow) => {
        xip.connect();
        xip.exitXip();
        xip.program(0, new Uint8Array(0));
        xip.open();
        xip.read(0, 4);
      },
    ],
  ])("%s is refused", (_, steps) => {
    expect(() => steps(window())).toThrow();
  });
});
