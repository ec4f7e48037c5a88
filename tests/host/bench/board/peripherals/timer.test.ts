// TIMER and WATCHDOG: microseconds, alarms on equality, two counts a tick, one bite.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { runs } from "../../../../support/effort.ts";
import { WFI } from "../support/assembler.ts";
import { bench } from "../support/bare-chip.ts";
import { fullSpeed, program, QUICK } from "../support/program.ts";

const TIMER = 0x40054000;
const RAWL = TIMER + 0x28;
const ALARM0 = TIMER + 0x10;
const ARMED = TIMER + 0x20;
const INTR = TIMER + 0x34;
const INTE = TIMER + 0x38;
const WATCHDOG = 0x40058000;
const ENABLE = 0x40000000;
const TRIGGER = 0x80000000;
const PSM_WDSEL = 0x40010008;
const ALL_BUT_OSCILLATORS = 0x1fffc;

describe("TIMER", () => {
  test("counts microseconds", () => {
    const to = bench();
    const before = to.read(RAWL);
    to.board.runFor(1234);
    expect(to.read(RAWL) - before).toBe(1234);
  });

  test.prop([fc.integer({ min: 1, max: 100_000 })], runs(20))("an alarm fires at its microsecond", (wait) => {
    const to = bench();
    to.write(INTE, 1);
    const now = to.read(RAWL);
    to.write(ALARM0, now + wait);
    expect(to.read(ARMED)).toBe(1);
    to.board.runFor(wait - 1);
    expect(to.interrupt(0)).toBe(false);
    to.board.runFor(1);
    expect(to.interrupt(0)).toBe(true);
    expect(to.read(RAWL)).toBe(now + wait);
    expect(to.read(ARMED)).toBe(0);
    to.write(INTR, 1);
    expect(to.interrupt(0)).toBe(false);
  });

  test("an alarm for the present microsecond waits until the counter comes round", () => {
    const to = bench();
    to.write(INTE, 1);
    to.write(ALARM0, to.read(RAWL));
    to.board.runFor(2 ** 32 - 1);
    expect(to.interrupt(0)).toBe(false);
    to.board.runFor(1);
    expect(to.interrupt(0)).toBe(true);
  });

  test("a board can start just before its counter wraps", () => {
    const image = program((code) => fullSpeed(code).label("sleep").raw(WFI).branch("sleep"));
    const board = new EmulatedBoard({ image, timerStartUs: 2 ** 32 - 10_000, parts: QUICK });
    board.powerOn();
    board.at(60e9, () => {});
    board.run(10e6);
    const { core } = board.chip.rp2040;
    const before = core.readUint32(RAWL);
    board.runFor(20_000);
    const after = core.readUint32(RAWL);
    expect(before).toBeGreaterThan(2 ** 32 - 10_000);
    expect(after).toBe((before + 20_000) % 2 ** 32);
  });

  test("disarming", () => {
    const to = bench();
    to.write(INTE, 1);
    to.write(ALARM0, to.read(RAWL) + 100);
    to.write(ARMED, 1);
    to.board.runFor(200);
    expect(to.interrupt(0)).toBe(false);
  });
});

describe("WATCHDOG", () => {
  const armed = (us: number) => {
    const to = bench();
    to.write(PSM_WDSEL, ALL_BUT_OSCILLATORS);
    to.write(WATCHDOG + 4, 2 * us);
    to.write(WATCHDOG, ENABLE);
    return to;
  };

  test("bites after half its load in microseconds (erratum RP2040-E1)", () => {
    const to = armed(20_000);
    to.board.runFor(19_999);
    expect(to.board.starts.length).toBe(1);
    to.board.runFor(1);
    expect(to.board.starts.at(-1)).toMatchObject({ reason: "watchdog" });
  });

  test("feeding puts it off", () => {
    const to = armed(20_000);
    to.board.runFor(15_000);
    to.write(WATCHDOG + 4, 40_000);
    to.board.runFor(19_999);
    expect(to.board.starts.length).toBe(1);
  });

  test("scratch registers and reason come over the reset, and are gone after the supply was", () => {
    const to = armed(20_000);
    to.write(WATCHDOG + 0xc, 0x12345678);
    to.board.runFor(30_000);
    const reread = (offset: number) => to.board.chip.rp2040.core.readUint32(WATCHDOG + offset);
    expect(reread(0xc)).toBe(0x12345678);
    expect(reread(8)).toBe(1);
    to.board.powerCycle();
    expect(reread(0xc)).toBe(0);
    expect(reread(8)).toBe(0);
  });

  test("a reset asked for", () => {
    const to = armed(20_000);
    to.write(WATCHDOG, TRIGGER);
    to.board.runFor(1);
    expect(to.board.starts.at(-1)).toMatchObject({ reason: "forced" });
    expect(to.board.chip.rp2040.core.readUint32(WATCHDOG + 8)).toBe(2);
  });

  test("a bite that would reset too little is refused, and one that the boot ROM would follow elsewhere", () => {
    const to = bench();
    expect(() => to.write(WATCHDOG, TRIGGER)).toThrow("reset too little");
    to.write(PSM_WDSEL, ALL_BUT_OSCILLATORS);
    to.write(WATCHDOG + 0x1c, 0xb007c0d3);
    expect(() => to.write(WATCHDOG, TRIGGER)).toThrow("SCRATCH4");
  });
});
