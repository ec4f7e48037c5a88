// ADCS, SBCS and the shifts by register, compiled and one by one, against the definitions of the ARMv6-M Architecture Reference Manual, in wide integers.

import { fc, test } from "@fast-check/vitest";
import { RP2040 } from "rp2040js";
import { describe, expect } from "vitest";
import { carriesOrShifts } from "#host/bench/board/chip/flags.ts";
import { CommonInstructions } from "#host/bench/board/chip/instructions.ts";
import { runs } from "../../../../support/effort.ts";

const ADCS = 0x4148;
const SBCS = 0x4188;
const SHIFTS = { lsl: 0x4088, lsr: 0x40c8, asr: 0x4108, ror: 0x41c8 } as const;
const { core } = new RP2040();
const common = new CommonInstructions(core);

interface Outcome {
  value: number;
  N: boolean;
  Z: boolean;
  C: boolean;
  V: boolean;
}

const CODE = 0x20001000;

/** The ways in which an instruction is run here; each returns its cycles. */
const WAYS = {
  "one by one": (opcode: number) => common.one(opcode),
  "compiled, in SRAM": (opcode: number) => {
    core.rp2040.writeUint16(CODE, opcode);
    core.registers[15] = CODE;
    return common.compiled(1);
  },
} as const;
type Way = (opcode: number) => number;

/** Runs `opcode`, which works on r0 and r1 with its result in r0. */
function run(way: Way, opcode: number, r0: number, r1: number, carry: boolean, overflow: boolean): Outcome {
  core.registers[0] = r0;
  core.registers[1] = r1;
  core.C = carry;
  core.V = overflow;
  expect(way(opcode)).toBe(1);
  return { value: core.registers[0]!, N: core.N, Z: core.Z, C: core.C, V: core.V };
}

/** AddWithCarry of the manual: the sums are compared with what 32 bits can hold. */
function addWithCarry(x: number, y: number, carry: boolean): Outcome {
  const unsigned = BigInt(x >>> 0) + BigInt(y >>> 0) + BigInt(carry);
  const signed = BigInt(x | 0) + BigInt(y | 0) + BigInt(carry);
  const value = Number(BigInt.asUintN(32, unsigned));
  return {
    value,
    N: value >= 2 ** 31,
    Z: value === 0,
    C: BigInt(value) !== unsigned,
    V: BigInt.asIntN(32, signed) !== signed,
  };
}

/** Shift_C of the manual, by one bit at a time. */
function shiftC(kind: keyof typeof SHIFTS, start: number, amount: number, carry: boolean) {
  let value = BigInt(start >>> 0);
  let out = carry;
  for (let i = 0; i < amount; i++) {
    const top = value >> 31n;
    out = (kind === "lsl" ? top : value & 1n) === 1n;
    if (kind === "lsl") value = (value << 1n) & 0xffffffffn;
    else value = (value >> 1n) | (kind === "asr" ? top << 31n : kind === "ror" ? (value & 1n) << 31n : 0n);
  }
  return { value: Number(value), carry: out };
}

const edge = fc.constantFrom(0, 1, 0x7ffffffe, 0x7fffffff, 0x80000000, 0x80000001, 0xfffffffe, 0xffffffff);
const word = fc.oneof(edge, fc.integer({ min: 0, max: 0xffffffff }));

/** Around the width of a register the shifts change their ways; further off nothing is left of the value. */
const amounts = fc.oneof(fc.integer({ min: 0, max: 255 }), fc.constantFrom(0, 1, 31, 32, 33, 63, 64, 255));

describe.each(Object.entries(WAYS))("%s", (_, way) => {
  test.prop([word, word, fc.boolean()], runs(2000))("ADCS and SBCS", (a, b, carry) => {
    expect(run(way, ADCS, a, b, carry, false)).toEqual(addWithCarry(a, b, carry));
    expect(run(way, SBCS, a, b, carry, false)).toEqual(addWithCarry(a, ~b, carry));
  });

  test.prop(
    [
      fc.constantFrom(...(Object.keys(SHIFTS) as (keyof typeof SHIFTS)[])),
      word,
      amounts,
      fc.boolean(),
      fc.boolean(),
    ],
    runs(2000),
  )(
    "shifts by register, any amount; the carry stays at 0 and the overflow always",
    (kind, value, amount, carry, overflow) => {
      const expected = shiftC(kind, value, amount, carry);
      const got = run(way, SHIFTS[kind], value, amount + 256 * 77, carry, overflow);
      expect(got).toEqual({
        value: expected.value,
        N: expected.value >= 2 ** 31,
        Z: expected.value === 0,
        C: expected.carry,
        V: overflow,
      });
    },
  );
});

test("ANDS and EORS are none of them", () => {
  expect([ADCS, SBCS, ...Object.values(SHIFTS)].every(carriesOrShifts)).toBe(true);
  expect([0x4008, 0x4048].some(carriesOrShifts)).toBe(false);
});
