// Flash work with the slowest chips: pulses that were missed are no speed, a reset in a long erase, and no erase while the battery dips.
import { readFileSync } from "node:fs";
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { BOOT_TRIES, BOOT_TRY_CYCLES, STARTED_US } from "#host/bench/board/boot.ts";
import { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { RING_HZ, SLOWEST } from "#host/bench/board/part-times.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";
import { PINS } from "#shared-schema/model/pins.ts";
import { runs } from "../../support/effort.ts";
import { RELEASED } from "../../support/native-core.ts";
import { BoardRig } from "./board-rig.ts";

const image = readFileSync(`${RELEASED}headgate.uf2`);
const OUTPUTS = PINS.filter((pin) => pin.kind === "solenoid" || pin.kind === "output");
const ERASE_US = SLOWEST.sectorEraseNs / 1000;
const PROGRAM_US = SLOWEST.pageProgramNs / 1000;
/** A pulse is timed by an interrupt that others may hold up, us. */
const LATENCY_US = 4;

describe("pulses around flash work", () => {
  test.prop([fc.integer({ min: 25, max: 800 }), fc.boolean(), fc.integer({ min: 0, max: 5_000 })], {
    ...runs(6),
  })(
    "no period spans it: each that the core is told is one of the engine's, or none",
    (hz, erase, phaseUs) => {
      const rig = new BoardRig({
        sectorEraseNs: SLOWEST.sectorEraseNs,
        pageProgramNs: SLOWEST.pageProgramNs,
      });
      rig.board.harness.setEngineHz(hz);
      rig.board.harness.setRoadHz(hz);
      rig.board.runFor(200_000 + phaseUs);
      const told = new Set<number>();
      rig.board.watch("w2c_core_tick", () => {
        told.add(rig.input("enginePeriodUs"));
        told.add(rig.input("roadPeriodUs"));
      });
      if (erase) rig.callInsteadOfServe("flash_erase_sector", [FLASH.slotA]);
      else rig.callInsteadOfServe("flash_program_page", [FLASH.slotA, 0x1800]);
      rig.board.runFor((erase ? ERASE_US : PROGRAM_US) + 400_000);
      told.delete(0);
      expect(told.size).toBeGreaterThan(0);
      for (const us of told) expect(Math.abs(us - 1e6 / hz)).toBeLessThanOrEqual(LATENCY_US);
    },
  );
});

describe("the reset line in the middle of an erase", () => {
  /** A started board whose next erase takes the longest time, reset after a part of it. */
  function resetInErase(ringHz: number, part: number): { board: EmulatedBoard; leftNs: number } {
    const board = new EmulatedBoard({ image, parts: { ringHz, sectorEraseNs: SLOWEST.sectorEraseNs } });
    board.powerOn();
    expect(board.runUntil(() => board.flash.busy, 2 * STARTED_US)).toBe(true);
    board.runFor(part * ERASE_US);
    const leftNs = board.flash.busyUntilNs - board.nowNs;
    board.pullReset();
    return { board, leftNs };
  }

  test.prop(
    [
      fc.integer({ min: RING_HZ.slowest, max: RING_HZ.fastest }),
      fc.double({ min: 0, max: 0.9, noNaN: true }),
    ],
    {
      ...runs(8),
      examples: [
        [RING_HZ.fastest, 0],
        [6.5e6, 0],
      ],
    },
  )(
    "the boot ROM outlasts what is left of it, or stays in its boot mode, with every output safe",
    (ringHz, part) => {
      const { board, leftNs } = resetInErase(ringHz, part);
      const triesNs = (BOOT_TRIES * BOOT_TRY_CYCLES * 1e9) / ringHz;
      board.runFor(2_500_000);
      if (Math.abs(leftNs - triesNs) < 10e6) return;
      expect(board.inBootloader).toBe(leftNs > triesNs);
      for (const pin of OUTPUTS) expect(board.pins.level(pin.gpio)).toBe(pin.safe);
    },
  );

  test("power off and on ends the boot mode, and the program starts", () => {
    const { board } = resetInErase(RING_HZ.fastest, 0);
    board.runFor(1_000_000);
    expect(board.inBootloader).toBe(true);
    board.powerCycle();
    board.runFor(STARTED_US);
    expect(board.powered).toBe(true);
    expect(board.inBootloader).toBe(false);
  });
});

test.prop([fc.integer({ min: 5_000, max: 8_900 })], runs(3))(
  "nothing is erased while the battery dips, and it is made up for after that",
  (batteryMv) => {
    const board = new EmulatedBoard({ image });
    board.harness.batteryMv = batteryMv;
    board.powerOn();
    board.runFor(STARTED_US + 500_000);
    expect(board.flash.operations).toBe(0);
    board.harness.batteryMv = 12_600;
    board.runFor(300_000);
    expect(board.flash.operations).toBeGreaterThan(0);
  },
);
