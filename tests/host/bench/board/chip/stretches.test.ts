// A board that runs stretches of instructions is, at every moment, the same as one that runs them one by one.
import { fc, test } from "@fast-check/vitest";
import { expect } from "vitest";
import { STARTED_US } from "#host/bench/board/boot.ts";
import type { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { runs } from "../../../../support/effort.ts";
import { releasedBoard } from "../../../../support/proving.ts";

/** No code is there: a watch makes a board look before each instruction. */
const NOWHERE = 0x3ffffffe;

function started(prepare: (board: EmulatedBoard) => void): EmulatedBoard {
  const board = releasedBoard();
  prepare(board);
  board.powerOn();
  board.runFor(STARTED_US);
  board.harness.setEngineHz(180);
  board.harness.setSwitch("arm", true);
  return board;
}

function stateOf({ nowNs, instructions, pins, chip }: EmulatedBoard) {
  const { core } = chip.rp2040;
  const { N, Z, C, V, cycles, registers } = core;
  const keepAlive = [...pins.edges("keepAlive")];
  return {
    nowNs,
    instructions,
    keepAlive,
    N,
    Z,
    C,
    V,
    cycles,
    registers: [...registers],
    pc: chip.runner.pc,
  };
}

const stretches = started(() => {});
const steps = started((board) => board.watch(NOWHERE, () => {}));

test("they start alike", () => {
  expect(stateOf(stretches)).toEqual(stateOf(steps));
});

test.prop([fc.integer({ min: 1, max: 6_000_000 })], runs(100))(
  "and stay alike, however long they run",
  (ns) => {
    for (const board of [stretches, steps]) board.run(board.nowNs + ns);
    expect(stateOf(stretches)).toEqual(stateOf(steps));
    expect(Buffer.compare(stretches.chip.rp2040.sram, steps.chip.rp2040.sram)).toBe(0);
    for (const board of [stretches, steps]) board.pins.forget();
  },
);
