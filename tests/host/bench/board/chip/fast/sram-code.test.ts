// Many instructions at once, as compiled code runs them, end as the package ends them one by one: code that changes itself included.
import { fc, test } from "@fast-check/vitest";
import type { RP2040 } from "rp2040js";
import { describe, expect } from "vitest";
import { carriesOrShifts } from "#host/bench/board/chip/flags.ts";
import { CommonInstructions } from "#host/bench/board/chip/instructions.ts";
import { runs } from "../../../../../support/effort.ts";
import { bareCore } from "../../support/bare-core.ts";

const SRAM = 0x20000000;
const CODE = 0x20010000;
const NEAR = 0x20020000;
const END = 0x20042000;
const LAST_HALFWORD = END - 2;
const NO_OPERATION = 0xbf00;
const BREAKPOINT = 0xbe00;

type Core = RP2040["core"];

const bare = { here: bareCore(), there: bareCore() };
const common = new CommonInstructions(bare.here.core);
const here = bare.here.core;
const there = bare.there.core;

interface State {
  readonly code: readonly number[];
  readonly registers: readonly number[];
  readonly stack: number;
  readonly flags: readonly [boolean, boolean, boolean, boolean];
}

function set(core: Core, { code, registers, stack, flags }: State, at = CODE): void {
  core.rp2040.sram.fill(0);
  const bytes = code.flatMap((opcode) => [opcode & 0xff, opcode >> 8]);
  core.rp2040.sram.set(bytes.slice(0, SRAM + core.rp2040.sram.length - at), at - SRAM);
  core.registers.set([...registers, stack, CODE + 0x101, at]);
  core.cycles = 0;
  core.waiting = false;
  core.eventRegistered = false;
  [core.N, core.Z, core.C, core.V] = flags;
}

function stateOf({ N, Z, C, V, cycles, registers }: Core) {
  return { N, Z, C, V, cycles, registers: [...registers] };
}

/** Runs a stretch, and as many instructions in the package: cycles of the stretch, and those that were over before its last. */
function both(start: State, most: number): { cycles: number; before: number } {
  set(here, start);
  set(there, start);
  bare.here.writes.length = 0;
  const cycles = common.stretch(most);
  let before = 0;
  for (let n = 0; n < common.ran; n++) {
    before = there.cycles;
    there.executeInstruction();
  }
  expect(stateOf(here)).toEqual(stateOf(there));
  expect(bare.here.writes.splice(0)).toEqual(bare.there.writes.splice(0));
  expect(Buffer.compare(here.rp2040.sram, there.rp2040.sram)).toBe(0);
  return { cycles, before };
}

/** The package flags some wrong: see flags.test.ts. */
const isSame = (opcode: number): boolean => !(opcode >> 10 === 0b010000 && carriesOrShifts(opcode));
/** Shifts by none, which mean 32, of low registers; a comparison with the stack pointer; stores, loads and branches. */
const OFTEN = [0x0009, 0x0812, 0x101b, 0x4585, 0x4569, 0x6001, 0x8001, 0x7001, 0x6801, 0xd001, 0xdb02];
const opcode = fc.oneof(fc.integer({ min: 0, max: 0xe7ff }), fc.constantFrom(...OFTEN)).filter(isSame);
const value = fc.oneof(
  fc.constantFrom(0, 1, 0x7fffffff, 0x80000000, 0xffffffff),
  fc.integer({ min: 0, max: 63 }).map((words) => NEAR + 4 * words),
  fc.integer({ min: 0, max: 63 }).map((bytes) => NEAR + bytes),
  fc.integer({ min: 0, max: 8 }).map((words) => CODE + 4 * words),
  fc.integer({ min: 0, max: 12 }).map((words) => END - 4 * words),
);
const stack = fc.oneof(
  fc.integer({ min: 0, max: 63 }).map((words) => NEAR + 4 * words),
  fc.integer({ min: 0, max: 12 }).map((words) => END - 4 * words),
  fc.integer({ min: 0, max: 12 }).map((words) => SRAM + 4 * words),
);
const state: fc.Arbitrary<State> = fc.record({
  code: fc.array(opcode, { minLength: 12, maxLength: 24 }),
  registers: fc.array(value, { minLength: 13, maxLength: 13 }),
  stack,
  flags: fc.tuple(fc.boolean(), fc.boolean(), fc.boolean(), fc.boolean()),
});

const PLAIN: State = {
  code: [],
  registers: Array(13).fill(0),
  stack: NEAR,
  flags: [false, true, false, true],
};

/** What reaches over the end: the instruction in SRAM's last halfword, its first register, and the stack. */
const AT_THE_END = {
  "BL whose second half would lie there": { code: [0xf000], registers: 0, stack: NEAR },
  "POP of two words, one of them there": { code: [0xbc03], registers: 0, stack: END - 4 },
  "LDM of two words, one of them there": { code: [0xc806], registers: END - 4, stack: NEAR },
  "STM of two words, one of them there": { code: [0xc006], registers: END - 4, stack: NEAR },
  "a word there": { code: [0x6801], registers: END, stack: NEAR },
  "a halfword there": { code: [0x8801], registers: END, stack: NEAR },
  "a byte there": { code: [0x7801], registers: END, stack: NEAR },
} as const;

describe("a stretch", () => {
  test.prop([state, fc.integer({ min: 1, max: 40 })], runs(1500))(
    "of any instructions ends as they do one by one, in the first that is over after its cycles or before one that is not here",
    (start, most) => {
      const { cycles, before } = both(start, most);
      if (common.ran > 0) expect(before).toBeLessThan(most);
      if (cycles < most && cycles > 0) expect(common.stretch(1) === 0 || common.ran === 1).toBe(true);
    },
  );

  test("runs code that the code before it has just written", () => {
    const [r0, r1] = [CODE + 4, 0x2207];
    const code = [NO_OPERATION, 0x8001, 0x2201, NO_OPERATION, BREAKPOINT];
    const start: State = { ...PLAIN, code, registers: [r0, r1, ...Array(11).fill(0)] };
    for (const most of [100, 100]) expect(both(start, most).cycles).toBe(5);
    expect(here.registers[2]).toBe(7);
  });

  test("ends before what is not here, and leaves it to be run alone", () => {
    const start: State = { ...PLAIN, code: [NO_OPERATION, BREAKPOINT], flags: [true, true, true, true] };
    expect(both(start, 100).cycles).toBe(1);
    expect(common.pc).toBe(CODE);
    expect(here.registers[15]).toBe(CODE + 2);
    expect(common.stretch(100)).toBe(0);
  });

  test("ends where SRAM does", () => {
    set(here, { ...PLAIN, code: [NO_OPERATION] }, LAST_HALFWORD);
    expect([common.stretch(100), common.ran]).toEqual([1, 1]);
    expect(common.stretch(100)).toBe(0);
  });

  test.each(Object.entries(AT_THE_END))(
    "takes nothing behind the end of SRAM: %s",
    (_, { code, registers, stack }) => {
      set(
        here,
        { ...PLAIN, code, registers: [registers, ...Array(12).fill(0)], stack },
        END - 2 * code.length,
      );
      const before = [...here.registers];
      expect(common.compiled(100)).toBe(0);
      expect([...here.registers]).toEqual(before);
    },
  );
});
