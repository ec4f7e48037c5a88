// The instructions that are run here do what the package makes of them: registers, flags, memory and cycles, whatever the state.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { carriesOrShifts } from "#host/bench/board/chip/flags.ts";
import { CommonInstructions } from "#host/bench/board/chip/instructions.ts";
import { runs } from "../../../../support/effort.ts";
import { bareCore } from "../support/bare-core.ts";

const CODE = 0x20010000;
const NEAR = 0x20020000;

const SRAM = 0x20000000;

/** A core as a test sees it. */
class Tried {
  readonly #bare = bareCore();
  readonly core = this.#bare.core;
  readonly common = new CommonInstructions(this.core);
  readonly sram = this.core.rp2040.sram;

  set(opcode: number, { registers, flags, second }: State): void {
    const { core } = this;
    new Uint16Array(this.sram.buffer).set([opcode, second], (CODE - SRAM) >> 1);
    this.#bare.writes.length = 0;
    core.registers.set([...registers, NEAR, CODE + 0x101, CODE]);
    core.cycles = 0;
    core.waiting = false;
    core.eventRegistered = flags[0];
    [core.N, core.Z, core.C, core.V] = flags;
  }

  /** What an instruction can change. */
  outcome(cycles: number) {
    const { N, Z, C, V, registers, waiting, eventRegistered } = this.core;
    return {
      registers: [...registers],
      N,
      Z,
      C,
      V,
      waiting,
      eventRegistered,
      writes: [...this.#bare.writes],
      counted: this.core.cycles,
      cycles,
    };
  }
}

const here = new Tried();
const there = new Tried();

interface State {
  readonly registers: readonly number[];
  readonly flags: readonly [boolean, boolean, boolean, boolean];
  readonly second: number;
}

const edge = fc.constantFrom(0, 1, 0x7fffffff, 0x80000000, 0xffffffff, 0x80000001);
const value = fc.oneof(
  edge,
  fc.integer({ min: 0, max: 0xffffffff }),
  fc.integer({ min: 0, max: 255 }),
  fc.integer({ min: 0, max: 255 }).map((words) => NEAR + 4 * words),
);
const state: fc.Arbitrary<State> = fc.record({
  registers: fc.array(value, { minLength: 13, maxLength: 13 }),
  flags: fc.tuple(fc.boolean(), fc.boolean(), fc.boolean(), fc.boolean()),
  second: fc.oneof(
    fc.integer({ min: 0, max: 0xffff }),
    fc.integer({ min: 0, max: 0x2fff }).map((n) => 0xd000 | n),
  ),
});

/** Cycles here, after the same instruction has been run by both; 0 when the package has to run it. */
function both(opcode: number, start: State, run: (common: CommonInstructions) => number): number {
  here.set(opcode, start);
  there.set(opcode, start);
  const before = here.outcome(0);
  const cycles = run(here.common);
  if (cycles === 0) expect(here.outcome(0)).toEqual(before);
  else expect(here.outcome(cycles)).toEqual(there.outcome(there.core.executeInstruction()));
  expect(Buffer.compare(here.sram, there.sram)).toBe(0);
  return cycles;
}

/** The package flags these wrong: see flags.test.ts. */
const isFlaggedWrong = (opcode: number): boolean => opcode >> 10 === 0b010000 && carriesOrShifts(opcode);

describe("an instruction", () => {
  test.prop([fc.integer({ min: 0, max: 0xffff }), state, fc.boolean()], runs(20_000))(
    "whatever it is, alone or at the head of a stretch, ends as in the package, or touches nothing",
    (opcode, start, alone) => {
      fc.pre(!isFlaggedWrong(opcode));
      both(opcode, start, (common) => (alone ? common.one(opcode) : common.stretch(1)));
    },
  );

  test("of each kind that is common is run here", () => {
    const start: State = {
      registers: Array(13).fill(NEAR),
      flags: [true, false, true, false],
      second: 0xf801,
    };
    const common = [
      0x0049, 0x0849, 0x1049, 0x1889, 0x1a89, 0x1c49, 0x1e49, 0x2105, 0x2905, 0x3105, 0x3905, 0x4011, 0x4051,
      0x4211, 0x4251, 0x4291, 0x42d1, 0x4311, 0x4351, 0x4391, 0x43d1, 0x4488, 0x4588, 0x4688, 0x4901, 0x5088,
      0x5288, 0x5488, 0x5888, 0x5a88, 0x5c88, 0x6048, 0x6848, 0x7048, 0x7848, 0x8048, 0x8848, 0x9101, 0x9901,
      0xa901, 0xb001, 0xb081, 0xb208, 0xb248, 0xb288, 0xb2c8, 0xb503, 0xbc03, 0xbf20, 0xd001, 0xd101, 0xe001,
      0xf000, 0xbf00, 0xc103, 0xc903, 0x4770,
    ];
    for (const opcode of common)
      expect([opcode.toString(16), both(opcode, start, (common) => common.one(opcode))]).not.toEqual([
        opcode.toString(16),
        0,
      ]);
  });
});
