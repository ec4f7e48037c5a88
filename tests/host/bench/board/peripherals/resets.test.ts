// RESETS, SSI and the SIO divider: what a reset does to a block, which flash set-up counts, and how a division comes out.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { runs } from "../../../../support/effort.ts";
import { NOP } from "../support/assembler.ts";
import { bench, CLEAR, SET } from "../support/bare-chip.ts";
import { boardWith, sramWord } from "../support/program.ts";

const RESET = 0x4000c000;
const UART0 = 1 << 22;
const PWM = 1 << 14;
const IO_BANK0 = 1 << 5;
const UART_IBRD = 0x40034024;
const PWM_TOP4 = 0x40050010 + 4 * 0x14;
const GP8_CTRL = 0x40014044;
const SSI = 0x18000000;

describe("RESETS", () => {
  test.each([
    ["UART", UART0, UART_IBRD, 67, 0],
    ["PWM", PWM, PWM_TOP4, 999, 0xffff],
    ["IO_BANK0", IO_BANK0, GP8_CTRL, 5, 0x1f],
  ])(
    "putting %s into reset brings its registers back to where they start",
    (_, bit, register, value, start) => {
      const to = bench();
      to.write(register, value);
      expect(to.read(register)).toBe(value);
      to.write(RESET + SET, bit);
      expect(() => to.read(register)).toThrow("held in reset");
      to.write(RESET + CLEAR, bit);
      expect(to.read(register)).toBe(start);
    },
  );
});

describe("SSI", () => {
  const good = { baud: 4, control: (31 << 16) | (3 << 8), spi: 0x03000218 };

  function setUp({ baud, control, spi }: typeof good): void {
    const to = bench();
    to.write(SSI + 0x08, 0);
    expect(() => to.read(0x10000000)).toThrow("closed");
    to.write(SSI + 0x14, baud);
    to.write(SSI + 0x00, control);
    to.write(SSI + 0xf4, spi);
    to.write(SSI + 0x08, 1);
    to.read(0x10000000);
  }

  test("a plain 03h read opens the flash", () => {
    setUp(good);
  });

  test.each([
    ["an odd divider", { baud: 3 }, "even"],
    ["four data lines", { control: good.control | (2 << 21) }, "plain 03h read"],
    ["frames of 8 bits", { control: (7 << 16) | (3 << 8) }, "plain 03h read"],
    ["another command", { spi: 0x0b000218 }, "plain 03h read"],
    ["wait cycles", { spi: 0x03004218 }, "plain 03h read"],
  ])("%s does not", (_, change, reason) => {
    expect(() => setUp({ ...good, ...change })).toThrow(reason);
  });

  test("registers stay as they are while it is enabled", () => {
    expect(() => bench().write(SSI + 0x14, 8)).toThrow("enabled");
  });
});

describe("SIO divider", () => {
  const SIO = 0xd0000000;
  const edge = fc.constantFrom(1, 2, 7, 0x7fffffff, 0x80000000, 0x80000001, 0xffffffff);
  const word = fc.oneof(edge, fc.integer({ min: 0, max: 0xffffffff }));
  const to = bench();

  test.prop([word, word.filter((value) => value !== 0), fc.boolean()], runs(300))(
    "quotients are cut towards zero, remainders have the sign of the dividend",
    (dividend, divisor, signed) => {
      to.write(SIO + (signed ? 0x68 : 0x60), dividend);
      to.write(SIO + (signed ? 0x6c : 0x64), divisor);
      to.board.runFor(1);
      const wide = (value: number): bigint => BigInt(signed ? value | 0 : value);
      const quotient = BigInt.asUintN(32, wide(dividend) / wide(divisor));
      const remainder = BigInt.asUintN(32, wide(dividend) % wide(divisor));
      expect(BigInt(to.read(SIO + 0x74))).toBe(remainder);
      expect(BigInt(to.read(SIO + 0x70))).toBe(quotient);
    },
  );

  test("division by zero is refused", () => {
    to.write(SIO + 0x60, 1);
    to.write(SIO + 0x64, 0);
    to.board.runFor(1);
    expect(() => to.read(SIO + 0x70)).toThrow("zero");
  });

  test("a result fetched before its eight cycles is refused", () => {
    const divide = (wait: number) =>
      boardWith((code) =>
        code
          .load(2, SIO)
          .load(0, 100)
          .load(1, 7)
          .raw(0x6610, 0x6651, ...Array<number>(wait).fill(NOP), 0x6f13)
          .load(0, 0x20000000)
          .raw(0x6003)
          .halt(),
      );
    expect(() => divide(6).run(10e6)).toThrow("divider read after");
    const patient = divide(8);
    patient.run(10e6);
    expect(sramWord(patient, 0x20000000)).toBe(14);
  });
});
