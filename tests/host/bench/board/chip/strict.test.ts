// Each kind of access or instruction that the emulated board must refuse, one by one.

import { describe, expect, test } from "vitest";
import { EmulationFault } from "#host/bench/board/chip/fault.ts";
import { type Assembler, BX_LR, NOP } from "../support/assembler.ts";
import { boardWith, fullSpeed, MAIN, sramWord } from "../support/program.ts";

const LOAD_WORD = 0x6808;
const LOAD_HALF = 0x8808;
const LOAD_BYTE = 0x7808;
const STORE_WORD = 0x6008;
const STORE_HALF = 0x8008;
const STORE_BYTE = 0x7008;
const SRAM = 0x20000000;

/** Runs the main program for a few milliseconds and gives what it threw. */
function faultOf(main: (code: Assembler) => Assembler): EmulationFault {
  const board = boardWith((code) => main(code).halt());
  try {
    board.run(30e6);
  } catch (error) {
    if (error instanceof EmulationFault) return error;
    throw error;
  }
  throw new Error("nothing was refused");
}

const access = (address: number, opcode: number) => faultOf((code) => code.load(1, address).raw(opcode));

describe("memory", () => {
  test.each([
    ["a word at 2", SRAM + 2, LOAD_WORD, "unaligned"],
    ["a word at 1", SRAM + 1, LOAD_WORD, "unaligned"],
    ["a halfword at 1", SRAM + 1, LOAD_HALF, "unaligned"],
    ["a word stored at 2", SRAM + 2, STORE_WORD, "unaligned"],
    ["a halfword stored at 3", SRAM + 3, STORE_HALF, "unaligned"],
    ["past SRAM", 0x20042000, LOAD_WORD, "nothing answers"],
    ["a store past SRAM", 0x20042000, STORE_WORD, "nothing answers"],
    ["a hole", 0x30000000, LOAD_WORD, "nothing answers"],
    ["a null pointer", 0, LOAD_WORD, "null pointer"],
    ["a null pointer, one byte", 3, LOAD_BYTE, "null pointer"],
    ["a store into ROM", 0x40, STORE_WORD, "ROM"],
    ["a store into flash", 0x10001000, STORE_WORD, "plain store into flash"],
    ["a byte stored into flash", 0x10001001, STORE_BYTE, "plain store into flash"],
    ["flash past its end", 0x10200000, LOAD_WORD, "past the end"],
  ])("%s", (_, address, opcode, reason) => {
    expect(access(address, opcode).message).toContain(reason);
  });
});

describe("registers", () => {
  test.each([
    ["an unknown register of a known block", 0x40058040, LOAD_WORD, "Unimplemented"],
    ["an unknown register of a known block, stored", 0x40058040, STORE_WORD, "Unimplemented"],
    ["a block that is not on this board", 0x40044000, LOAD_WORD, "nothing answers"],
    ["a block held in reset", 0x40034018, LOAD_WORD, "uart0 read while it is held in reset"],
    ["a block held in reset, stored", 0x40050000, STORE_WORD, "pwm written while it is held in reset"],
    ["an unknown SIO register", 0xd0000050, LOAD_WORD, "nothing answers"],
    ["an unknown register of the core", 0xe000ed10, LOAD_WORD, "Unimplemented"],
    ["a byte of a register", 0x40058000, LOAD_BYTE, "not memory"],
    ["a halfword stored into a register", 0x40058000, STORE_HALF, "not memory"],
    ["a byte of SIO", 0xd0000004, LOAD_BYTE, "not memory"],
    ["reading through an atomic alias", 0x4005a000, LOAD_WORD, "Unimplemented"],
  ])("%s", (_, address, opcode, reason) => {
    expect(access(address, opcode).message).toContain(reason);
  });
});

describe("instructions", () => {
  test.each([
    ["UDF", [0xde00], "undefined instruction"],
    ["an unassigned pattern", [0xb100], "undefined instruction"],
    ["an undefined one of two halfwords", [0xf7f0, 0xa000], "undefined instruction"],
    ["a special register that is read", [0xf3ef, 0x80ff], "unimplemented SYSm"],
    ["a special register that is written", [0xf380, 0x88ff], "unimplemented SYSm"],
    ["a breakpoint", [0xbe01], "breakpoint 1"],
    ["SVC", [0xdf00, NOP], "not modelled"],
  ])("%s", (_, halfwords, reason) => {
    const fault = faultOf((code) => code.raw(...halfwords));
    expect(fault.message).toContain(reason);
    expect(fault.isHardFault).toBe(reason === "undefined instruction");
  });

  test("a jump without the Thumb bit", () => {
    const fault = faultOf((code) => code.load(1, MAIN).raw(0x4708));
    expect(fault.message).toContain("Thumb bit");
  });

  test("returning from the second boot stage's caller: there is none", () => {
    expect(faultOf((code) => code.load(1, 0).raw(0x468e, BX_LR)).message).toContain("Thumb bit");
  });

  test("a fault names the place", () => {
    const fault = access(SRAM + 2, LOAD_WORD);
    expect(fault.pc).toBe(MAIN + 2);
    expect(fault.isHardFault).toBe(true);
  });
});

describe("clocks", () => {
  const CLK_REF = 0x40008030;
  const CLK_SYS = 0x4000803c;
  const XOSC = 0x40024000;
  test.each([
    ["clk_ref from a crystal that is off", (code: Assembler) => code.poke(CLK_REF, 2)],
    ["clk_sys from a PLL without its crystal", (code: Assembler) => code.poke(CLK_SYS, 1)],
    [
      "clk_sys from a PLL that is powered down",
      (code: Assembler) =>
        code
          .poke(XOSC + 0x0c, 0)
          .poke(XOSC, 0xfabaa0)
          .poke(CLK_REF, 2)
          .poke(0x4000f000, 1 << 12)
          .poke(CLK_SYS, 1),
    ],
    [
      "clk_ref from a crystal that was not waited for",
      (code: Assembler) =>
        code
          .poke(XOSC + 0x0c, 47)
          .poke(XOSC, 0xfabaa0)
          .poke(CLK_REF, 2),
    ],
    [
      "TIMER while the ring oscillator makes its tick",
      (code: Assembler) =>
        code
          .poke(0x4005802c, 0x200 | 12)
          .poke(0x4000f000, 1 << 21)
          .copy(0x40054028, SRAM),
    ],
    [
      "TIMER before the tick runs",
      (code: Assembler) => code.poke(0x4000f000, 1 << 21).copy(0x40054028, SRAM),
    ],
  ])("%s", (_, main) => {
    expect(faultOf(main).pc).toBeGreaterThan(0);
  });

  test("UART and SPI stay in reset until clk_peri runs", () => {
    const release = (1 << 16) | (1 << 22);
    const done = (code: Assembler, at: number) => code.poke(0x4000f000, release).copy(0x4000c008, at);
    const before = boardWith((code) => done(code, SRAM).halt());
    before.run(20e6);
    expect(sramWord(before, SRAM) & release).toBe(0);
    const after = boardWith((code) => done(fullSpeed(code), SRAM).halt());
    after.run(20e6);
    expect(sramWord(after, SRAM) & release).toBe(release);
  });
});
