// How the board layer ends a program that cannot go on: traps, faults, a hang, a stack that ran too deep; and flash writes.

import { describe, expect, test } from "vitest";
import { STARTED_US } from "#host/bench/board/boot.ts";
import { CORE_MEMORY_BYTES, FLASH, TRAPS, WATCHDOG_US } from "#shared-schema/model/blocks.ts";
import { PINS } from "#shared-schema/model/pins.ts";
import { sample } from "../../support/effort.ts";
import { ALL_OFF, BoardRig } from "./board-rig.ts";

const RUNNING = { ...ALL_OFF, pulse: [25_000, 25_000, 0, 0, 0, 0, 9_000, 9_000], flags: 0x3f, retard: 9_000 };
const OUTPUTS = PINS.filter((pin) => pin.kind === "solenoid" || pin.kind === "output");
/** Thumb: udf #0, b to itself, bx lr. */
const UNDEFINED = [0x00, 0xde];
const FOR_EVER = [0xfe, 0xe7];
const RETURN = [0x70, 0x47];
/** How often the pins are looked at, us. */
const LOOK_US = 5;
/** Where a program may hang: one of each context. */
const HANGS = [
  "w2c_core_tick",
  "w2c_core_serve",
  "clock_wait_for_tick",
  "stages_apply",
  "spi0_isr",
  "timer0_isr",
  "io_bank0_isr",
];
const REASON = { power: 0, bite: 1, trap: 2, askedFor: 3 };

function running(): BoardRig {
  const rig = new BoardRig();
  rig.outputs = structuredClone(RUNNING);
  rig.board.runFor(60_000);
  expect(OUTPUTS.some((pin) => rig.board.pins.level(pin.gpio) === 1)).toBe(true);
  return rig;
}

/** Time from now until every output is at its safe level, us; the chip starts anew meanwhile. */
function usUntilSafe(rig: BoardRig): number {
  const start = rig.board.nowNs;
  const safe = (): boolean => OUTPUTS.every((pin) => rig.board.pins.level(pin.gpio) === pin.safe);
  expect(rig.board.runUntil(safe, 60_000, LOOK_US)).toBe(true);
  return (rig.board.nowNs - start) / 1000;
}

/** Time from the first instruction of a function that now never returns until every output is at its safe level, us. */
function usFromHangUntilSafe(rig: BoardRig, where: string): number {
  const { board } = rig;
  let hungNs: number | undefined;
  board.patch(where, Uint8Array.from(FOR_EVER));
  board.watch(where, () => {
    hungNs ??= board.nowNs;
  });
  board.harness.setInput("roadPulse", 1);
  const start = board.nowNs;
  const safeNs = start + usUntilSafe(rig) * 1000;
  board.unwatch(where);
  return (safeNs - hungNs!) / 1000;
}

/** The boot block after the next start. */
function cause(rig: BoardRig): Record<"reason" | "detail" | "place", number> {
  rig.outputs = structuredClone(ALL_OFF);
  rig.board.runFor(STARTED_US);
  return { reason: rig.boot("reason"), detail: rig.boot("detail"), place: rig.boot("place") };
}

test("power-on: reason 0, the image matches its CRC", () => {
  const rig = new BoardRig();
  expect(cause(rig)).toEqual({ reason: REASON.power, detail: 0, place: 0 });
  expect(rig.boot("imageGood")).toBe(1);
});

test("an image that does not match its CRC still starts, and is reported", () => {
  const rig = new BoardRig();
  rig.board.flash.bytes[FLASH.imageHeader + 28]! ^= 1;
  rig.board.powerCycle();
  rig.board.runFor(STARTED_US);
  expect(rig.boot("imageGood")).toBe(0);
});

describe("a program that ends", () => {
  test("by a trap of the core: off within the tick, reason and place kept", () => {
    const rig = running();
    const { address } = rig.board.symbols.find("wasm_trap");
    rig.board.watch("w2c_core_tick", () => {
      rig.board.unwatch("w2c_core_tick");
      const { registers } = rig.board.chip.rp2040.core;
      registers[14] = registers[15]! | 1;
      registers[15] = address;
    });
    expect(usUntilSafe(rig)).toBeLessThan(1_020);
    const { reason, detail, place } = cause(rig);
    expect([reason, detail]).toEqual([REASON.trap, TRAPS.core]);
    expect(rig.board.symbols.at(place & ~1)).toBe("w2c_core_tick");
  });

  test("by a HardFault: off in 10 us, with the address of the instruction", () => {
    const rig = running();
    rig.board.injectHardFault();
    expect(usUntilSafe(rig)).toBeLessThanOrEqual(10);
    const { reason, detail, place } = cause(rig);
    expect([reason, detail]).toEqual([REASON.trap, TRAPS.hardFault]);
    expect(rig.board.symbols.at(place)).toBeDefined();
  });

  test("by an undefined instruction in the tick", () => {
    const rig = running();
    rig.board.raiseFaults = true;
    rig.board.patch("w2c_core_tick", Uint8Array.from(UNDEFINED));
    expect(usUntilSafe(rig)).toBeLessThan(1_020);
    const { reason, detail, place } = cause(rig);
    expect([reason, detail]).toEqual([REASON.trap, TRAPS.hardFault]);
    expect(rig.board.symbols.at(place)).toBe("w2c_core_tick");
  });

  test("by a stack that ran too deep", () => {
    const rig = running();
    rig.board.patch("stack_bottom", Uint8Array.from([1, 2, 3, 4]));
    expect(usUntilSafe(rig)).toBeLessThan(1_100);
    const { reason, detail } = cause(rig);
    expect([reason, detail]).toEqual([REASON.trap, TRAPS.stack]);
  });

  test.each(sample(HANGS, 4))("by hanging in %s: the watchdog bites within its time", (where) => {
    const rig = running();
    expect(usFromHangUntilSafe(rig, where)).toBeLessThan(WATCHDOG_US + LOOK_US);
    expect(rig.board.starts.at(-1)!.reason).toBe("watchdog");
    expect(cause(rig).reason).toBe(REASON.bite);
  });
});

describe("flash", () => {
  const offset = FLASH.slotA;

  test("a sector is erased and a page programmed, with every output low, and the loop goes on", () => {
    const rig = running();
    rig.memory.setUint32(0x1800, 0xdeadbeef, true);
    const lowWhile: boolean[] = [];
    rig.board.flash.onOperation = (operation) => {
      if (operation.offset !== offset) return undefined;
      lowWhile.push(OUTPUTS.every((pin) => rig.board.pins.level(pin.gpio) === pin.safe));
      return undefined;
    };
    rig.callInsteadOfServe("flash_erase_sector", [offset]);
    rig.board.runFor(100_000);
    rig.callInsteadOfServe("flash_program_page", [offset, 0x1800]);
    rig.board.runFor(20_000);
    expect(lowWhile).toEqual([true, true]);
    expect([...rig.board.flash.bytes.subarray(offset, offset + 4)]).toEqual([0xef, 0xbe, 0xad, 0xde]);
    expect(rig.board.starts.length).toBe(1);
  });

  test("what is outside the data area, or not aligned, traps before anything is touched", () => {
    const calls: [string, number[]][] = [
      ["flash_erase_sector", [FLASH.dataStart - FLASH.sector]],
      ["flash_erase_sector", [FLASH.bytes]],
      ["flash_erase_sector", [offset + 256]],
      ["flash_program_page", [0, 0x1800]],
      ["flash_program_page", [offset + 1, 0x1800]],
      ["flash_program_page", [offset, CORE_MEMORY_BYTES - 255]],
      ["flash_read", [FLASH.bytes - 1, 0x1800, 2]],
      ["flash_read", [offset, CORE_MEMORY_BYTES - 1, 2]],
      ["flash_read", [offset, 0xffffffff, 2]],
    ];
    for (const [symbol, args] of sample(calls, 4)) {
      const rig = running();
      const before = rig.board.flash.bytes.slice(offset);
      rig.callInsteadOfServe(symbol, args);
      expect(usUntilSafe(rig), `${symbol} ${args}`).toBeLessThan(1_100);
      const { reason, detail } = cause(rig);
      expect([reason, detail]).toEqual([REASON.trap, TRAPS.board]);
      expect(Buffer.compare(rig.board.flash.bytes.subarray(offset), before)).toBe(0);
    }
  });
});

test("a restart that was asked for says so", () => {
  const rig = running();
  rig.callInsteadOfServe("w2c_board_restart", [0, 0]);
  rig.board.patch("w2c_core_serve", Uint8Array.from(RETURN));
  expect(usUntilSafe(rig)).toBeLessThan(3_000);
  expect(cause(rig).reason).toBe(REASON.askedFor);
});
