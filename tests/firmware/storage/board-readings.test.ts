// What is read several times to be believed is read from the flash chip each time, not from the cache in front of it.
import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { STARTED_US } from "#host/bench/board/boot.ts";
import { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { RELEASED } from "../../support/native-core.ts";
import { SLOTS_FROM } from "./bench.ts";
import { LOADS, slotBytes } from "./scenarios.ts";

/** Three readings that must agree, after one look whether the slot is blank. */
const READINGS = 4;

test("each word of the slot in force comes from the flash in every one of its readings at the start", () => {
  const board = new EmulatedBoard({ image: readFileSync(`${RELEASED}headgate.uf2`) });
  const { block } = LOADS[0]!;
  const slot = slotBytes(block, 1);
  board.flash.bytes.set(slot, SLOTS_FROM);
  const counts = new Map<number, number>();
  const read = board.flash.read.bind(board.flash);
  board.flash.read = (offset, width) => {
    counts.set(offset, (counts.get(offset) ?? 0) + 1);
    return read(offset, width);
  };
  board.powerOn();
  board.runFor(STARTED_US);
  for (const at of [0, 12, 28, 256, (256 + block.length - 4) & ~3]) {
    expect(counts.get(SLOTS_FROM + at), `offset ${at} of the slot`).toBeGreaterThanOrEqual(READINGS);
  }
});
