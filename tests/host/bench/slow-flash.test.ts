// A run on a board with the slowest flash chip: the arm switch goes on in the middle of long erases, pulses are missed, and it flows all the same.
import { expect, test } from "vitest";
import { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { SLOWEST } from "#host/bench/board/part-times.ts";
import { column } from "#host/bench/prove/board-client.ts";
import { TestBench } from "#host/bench/prove/test-bench.ts";
import { sample } from "../../support/effort.ts";
import { benchOptions, PROVING, RELEASED } from "../../support/proving.ts";

const NO_TRIP = 255;
const ERASE_US = SLOWEST.sectorEraseNs / 1000;
/** The arm switch must be seen off for 200 ms; between two erases that is some 30 ms, of a pass that one has held up 20 ms count, and a quiet line comes first. */
const SEEN_OFF_US = 9 * ERASE_US;
/** The next erase may have begun before the core has seen the switch. */
const ARMED_US = 2 * ERASE_US + 400_000;

/** Off, the whole log being erased sector after sector; then on, so long after an erase has begun, with everything good. */
async function armInErase(bench: TestBench, afterUs: number): Promise<boolean> {
  const { board, stimulus } = bench;
  stimulus.launch(false);
  stimulus.lift();
  bench.rest();
  expect(await bench.client.refusal("logErase")).toBeUndefined();
  board.runFor(SEEN_OFF_US);
  board.runUntil(() => !board.flash.busy, 2 * ERASE_US);
  expect(board.runUntil(() => board.flash.busy, ERASE_US)).toBe(true);
  board.runFor(afterUs);
  board.harness.setSwitch("arm", true);
  board.runFor(ARMED_US);
  stimulus.press();
  stimulus.launch(true);
  return bench.waitForFlow();
}

test("no trip and no misread speed, wherever in an erase of 400 ms the arm switch goes on", async () => {
  const makeBoard = (): EmulatedBoard => new EmulatedBoard({ ...RELEASED, parts: SLOWEST });
  const bench = new TestBench(PROVING, { ...benchOptions(), makeBoard });
  await bench.start();
  for (const part of sample([0.6, 0.02], 2)) {
    expect(await armInErase(bench, part * ERASE_US), `at ${part} of the erase`).toBe(true);
    const live = await bench.client.status();
    expect(column(live, "trip")).toBe(NO_TRIP);
    expect(column(live, "reasons")).toBe(0);
  }
});
