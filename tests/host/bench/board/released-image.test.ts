// The released image on the emulated board: it runs without anything to refuse, and patched functions hang or trap as a test wants.

import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { RESTED_US } from "#host/bench/board/boot.ts";
import { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { WATCHDOG_US } from "#shared-schema/model/blocks.ts";

const image = readFileSync("firmware/image/headgate.uf2");
const elf = readFileSync("firmware/image/headgate.elf");
const LOOP_FOR_EVER = Uint8Array.of(0xfe, 0xe7);
const UNDEFINED = Uint8Array.of(0x00, 0xde);

function started(): EmulatedBoard {
  const board = new EmulatedBoard({ image, elf });
  board.powerOn();
  board.runFor(RESTED_US);
  return board;
}

describe("the released image", () => {
  test("runs a second with engine and road pulses and nothing to refuse", () => {
    const board = started();
    board.harness.setEngineHz(400);
    board.harness.setRoadHz(300);
    let ticks = 0;
    board.watch("w2c_core_tick", () => ticks++);
    board.runFor(1e6);
    expect(Math.abs(ticks - 1000)).toBeLessThanOrEqual(1);
    expect(board.starts.length).toBe(1);
    expect(board.chip.uart0.overruns).toBe(0);
  });

  test("starts also when the microsecond counter is about to wrap", () => {
    const board = new EmulatedBoard({ image, elf, timerStartUs: 2 ** 32 - 60_000 });
    board.powerOn();
    let ticks = 0;
    board.watch("w2c_core_tick", () => ticks++);
    board.runFor(RESTED_US + 200_000);
    expect(ticks).toBeGreaterThan(190);
    expect(board.starts.length).toBe(1);
  });
});

describe("a patched function", () => {
  test("that hangs is bitten by the watchdog in time, and whole again after the reset", () => {
    const board = started();
    const fromNs = board.nowNs;
    board.patch("w2c_core_tick", LOOP_FOR_EVER);
    board.runFor(WATCHDOG_US + 2000);
    expect(board.starts.map(({ reason }) => reason)).toEqual(["power", "watchdog"]);
    expect(board.starts[1]!.ns - fromNs).toBeLessThanOrEqual(1000 * (WATCHDOG_US + 1000));
    let ticks = 0;
    board.watch("w2c_core_tick", () => ticks++);
    board.runFor(RESTED_US + 100_000);
    expect(ticks).toBeGreaterThan(90);
  });

  test("that holds no instruction throws with its name, or traps when faults are raised", () => {
    const strict = started();
    strict.patch("w2c_core_tick", UNDEFINED);
    expect(() => strict.runFor(2000)).toThrow("in w2c_core_tick");
    const real = started();
    real.raiseFaults = true;
    real.patch("w2c_core_tick", UNDEFINED);
    real.runFor(2000);
    expect(real.starts.map(({ reason }) => reason)).toEqual(["power", "forced"]);
  });
});
