// The start of the released image: a slow crystal, one that never starts, any ring oscillator, and what it says of its cause.
import { readFileSync } from "node:fs";
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { RESTED_US, STARTED_US } from "#host/bench/board/boot.ts";
import { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { type PartTimes, RING_HZ } from "#host/bench/board/part-times.ts";
import { BOOT } from "#shared-schema/model/blocks.ts";
import { PINS } from "#shared-schema/model/pins.ts";
import { runs } from "../../support/effort.ts";
import { RELEASED } from "../../support/native-core.ts";

const image = readFileSync(`${RELEASED}headgate.uf2`);
const elf = readFileSync(`${RELEASED}headgate.elf`);
const OUTPUTS = PINS.filter((pin) => pin.kind === "solenoid" || pin.kind === "output");
/** Thumb: b to itself. */
const FOR_EVER = Uint8Array.of(0xfe, 0xe7);
/** The slowest ring oscillator takes so much longer for the stub's first words. */
const SLOWEST_STARTED_US = STARTED_US + 100_000;

function boardOf(parts: Partial<PartTimes> = {}): EmulatedBoard {
  const board = new EmulatedBoard({ image, elf, parts });
  board.powerOn();
  return board;
}

/** Time until the main loop's next tick, ms; fails when none comes. */
function msToTick(board: EmulatedBoard): number {
  const fromNs = board.nowNs;
  let came = false;
  board.watch("w2c_core_tick", () => {
    came = true;
  });
  expect(board.runUntil(() => came, SLOWEST_STARTED_US)).toBe(true);
  board.unwatch("w2c_core_tick");
  return (board.nowNs - fromNs) / 1e6;
}

/** Why the program says that it started, from its boot block. */
const cause = (board: EmulatedBoard): number => board.chip.rp2040.sramView.getUint32(BOOT.address, true);
const ring = fc.integer({ min: RING_HZ.slowest, max: RING_HZ.fastest });

describe("crystal and ring oscillator", () => {
  test.prop([ring], runs(4))("starts at once, whatever the ring oscillator's frequency", (ringHz) => {
    const board = boardOf({ ringHz });
    expect(msToTick(board)).toBeGreaterThan(64);
    expect(board.starts.length).toBe(1);
  });

  test.prop([ring, fc.integer({ min: 0, max: 63 })], runs(4))(
    "takes its clock from no crystal that is not steady, up to 63 ms after its enable",
    (ringHz, steadyMs) => {
      const board = boardOf({ ringHz, crystalSteadyNs: steadyMs * 1e6 });
      expect(msToTick(board)).toBeGreaterThan(64);
    },
  );

  test.prop([ring], runs(2))(
    "a crystal that never starts: bitten again and again, by the ring oscillator's time, with every output safe",
    (ringHz) => {
      const board = boardOf({ ringHz, crystalSteadyNs: Number.POSITIVE_INFINITY });
      let moved = false;
      board.pins.onChange((gpio) => {
        moved ||= OUTPUTS.some((pin) => pin.gpio === gpio);
      });
      board.runFor(3_000_000);
      const apart = board.starts.slice(1).map(({ ns }, i) => (ns - board.starts[i]!.ns) / 1e6);
      expect(board.starts.slice(1).every(({ reason }) => reason === "watchdog")).toBe(true);
      expect(apart.length).toBeGreaterThanOrEqual(2);
      expect(Math.min(...apart)).toBeGreaterThan(190);
      expect(Math.max(...apart)).toBeLessThan(1_400);
      expect(moved).toBe(false);
    },
  );

  test("after a bite the crystal still swings, and the start is shorter for it", () => {
    const board = boardOf();
    const firstMs = msToTick(board);
    board.runFor(RESTED_US);
    board.patch("w2c_core_tick", FOR_EVER);
    expect(board.runUntil(() => board.starts.length === 2, 30_000)).toBe(true);
    expect(msToTick(board)).toBeLessThan(firstMs - 60);
  });
});

describe("the cause of the start", () => {
  const CAUSE = { power: 0, bite: 1, trap: 2, askedFor: 3, bootRom: 4 };
  const run = (board: EmulatedBoard): EmulatedBoard => {
    board.runFor(SLOWEST_STARTED_US);
    return board;
  };

  test("the reset line is no bite", () => {
    const board = run(boardOf());
    board.pullReset();
    expect(cause(run(board))).toBe(CAUSE.power);
  });

  test("a bite in the main loop, and one while the crystal was waited for", () => {
    const board = run(boardOf());
    board.patch("w2c_core_tick", FOR_EVER);
    board.runFor(30_000);
    expect(cause(run(board))).toBe(CAUSE.bite);
    const early = boardOf();
    early.watch("clocks_start", () => {
      early.unwatch("clocks_start");
      early.chip.rp2040.core.waiting = true;
    });
    early.runFor(1_400_000);
    expect(early.starts.map(({ reason }) => reason)).toEqual(["power", "watchdog"]);
    expect(cause(early)).toBe(CAUSE.bite);
  });

  test("a new image by the boot ROM is no bite, although the ROM restarts through the watchdog", () => {
    const board = run(boardOf());
    board.chip.rom.onBootloader();
    board.runFor(1);
    expect(board.inBootloader).toBe(true);
    board.takeImage(image);
    expect(board.chip.watchdog.readUint32(8)).toBe(1);
    expect(cause(run(board))).toBe(CAUSE.bootRom);
  });
});
