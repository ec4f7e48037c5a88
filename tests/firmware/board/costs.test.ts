// What the board layer costs in instructions a tick, and how deep its stack goes; both are exact on the emulated board.
import { expect, test } from "vitest";
import { BoardRig } from "./board-rig.ts";

const TICKS = 200;
const STACK_PAINT = 0x57ac4a11;

/** Times a function's first instruction ran, and instructions of the whole board, over some ticks. */
function count(rig: BoardRig, symbol: string): number {
  let entries = 0;
  rig.board.watch(symbol, () => entries++);
  rig.board.runFor(TICKS * 1000);
  rig.board.unwatch(symbol);
  return entries / TICKS;
}

test("a round of the converters takes one interrupt a slot and no other", () => {
  const rig = new BoardRig();
  expect(count(rig, "spi0_isr")).toBe(18);
  expect(count(rig, "timer0_isr")).toBe(1);
  expect(count(rig, "io_bank0_isr")).toBe(0);
});

test("the board layer takes fewer than 1,950 instructions a tick", () => {
  const rig = new BoardRig();
  rig.board.watch("w2c_core_tick", () => leave(rig));
  rig.board.watch("w2c_core_serve", () => leave(rig));
  const before = rig.board.instructions;
  rig.board.runFor(TICKS * 1000);
  expect((rig.board.instructions - before) / TICKS).toBeLessThan(1_950);
});

test("the stack stays above its half", () => {
  const rig = new BoardRig();
  rig.board.harness.setEngineHz(500);
  rig.board.harness.setRoadHz(700);
  rig.board.serial.send(new Uint8Array(600).map((_, i) => i));
  rig.board.runFor(100_000);
  const bottom = rig.board.symbols.find("stack_bottom").address;
  const size = rig.board.symbols.find("stack_top").address - bottom;
  const words = new DataView(rig.board.chip.rp2040.sram.buffer, bottom - 0x20000000, size);
  let untouched = 0;
  while (words.getUint32(untouched, true) === STACK_PAINT) untouched += 4;
  expect(untouched).toBeGreaterThan(size / 2);
});

/** Returns from a function at its first instruction, with the answer 0. */
function leave(rig: BoardRig): void {
  const { registers } = rig.board.chip.rp2040.core;
  registers[0] = 0;
  registers[15] = registers[14]! & ~1;
}
