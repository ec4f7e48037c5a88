// A board as a whole: boot, exact times, supply, resets, faults, patches. The images are small ones assembled here.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { BOOT_ROM_NS } from "#host/bench/board/boot.ts";
import { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { decodeUf2, encodeUf2 } from "#host/image/uf2.ts";
import { runs } from "../../../support/effort.ts";
import { type Assembler, WFI } from "./support/assembler.ts";
import { boardWith, fullSpeed, MAIN, program, sramWord } from "./support/program.ts";

const SRAM = 0x20000000;
const HARD_FAULT = 3;
const sleepForEver = (code: Assembler) => fullSpeed(code).label("sleep").raw(WFI).branch("sleep");

/** A board that sleeps at full speed, with something always to wait for. */
function sleeper(): EmulatedBoard {
  const board = boardWith(sleepForEver);
  board.at(Number.MAX_SAFE_INTEGER, () => {});
  board.run(10e6);
  return board;
}

describe("boot", () => {
  test("a second stage with a wrong checksum is not started", () => {
    const { bytes, address } = decodeUf2(program((code) => code.halt()));
    bytes[10]! ^= 1;
    const board = new EmulatedBoard({ image: encodeUf2(bytes, address) });
    board.powerOn();
    expect(() => board.run(10e6)).toThrow("checksum");
  });

  test("nothing runs before the boot ROM is done, and memory holds no zeros to lean on", () => {
    const board = boardWith((code) => code.halt());
    board.run(BOOT_ROM_NS - 1);
    expect(board.instructions).toBe(0);
    expect(sramWord(board, SRAM)).not.toBe(0);
    board.run(BOOT_ROM_NS + 100_000);
    expect(board.instructions).toBeGreaterThan(10);
  });

  test("what is no image is refused", () => {
    expect(() => new EmulatedBoard({ image: new Uint8Array(512) })).toThrow("UF2");
  });
});

describe("time", () => {
  test.prop([fc.array(fc.integer({ min: 11e6, max: 60e6 }), { maxLength: 20 })], runs(20))(
    "scripted changes happen at their nanosecond",
    (moments) => {
      const board = sleeper();
      const seen: number[] = [];
      for (const ns of moments) board.at(ns, () => seen.push(board.nowNs));
      board.run(60e6);
      expect(seen).toEqual([...moments].sort((a, b) => a - b));
    },
  );

  test("a run from inside a run is refused", () => {
    const board = sleeper();
    board.at(board.nowNs + 1000, () => board.runFor(1));
    expect(() => board.runFor(10)).toThrow("inside a run");
    board.runFor(10);
  });

  test("runUntil stops when its condition holds, and says when it did not", () => {
    const board = sleeper();
    const endNs = board.nowNs + 5e6;
    expect(board.runUntil(() => board.nowNs >= endNs, 10_000)).toBe(true);
    expect(board.nowNs).toBe(endNs);
    expect(board.runUntil(() => false, 1000)).toBe(false);
  });
});

describe("supply and resets", () => {
  const TRIGGER = (code: Assembler) => code.poke(0x40010008, 0x1fffc).poke(0x40058000, 0x80000000).halt();
  /** Counts starts in a word of SRAM that nobody clears. */
  const countStarts = (code: Assembler) => code.load(0, SRAM + 0x100).raw(0x6801, 0x3101, 0x6001);

  test("a power cycle keeps flash and loses memory", () => {
    const board = sleeper();
    board.flash.bytes[0x100000] = 0x5a;
    board.chip.rp2040.sram[0] = 0x11;
    board.powerCycle();
    expect(board.flash.bytes[0x100000]).toBe(0x5a);
    expect(board.chip.rp2040.sram[0]).not.toBe(0x11);
    expect(board.starts.map(({ reason }) => reason)).toEqual(["power", "power"]);
  });

  test("a reset keeps memory, and the board's time goes on", () => {
    const board = boardWith((code) => TRIGGER(countStarts(code)));
    board.run(3.5 * BOOT_ROM_NS);
    const starts = board.starts.length;
    expect(starts).toBeGreaterThan(2);
    expect(sramWord(board, SRAM + 0x100) - 0xdeadbeef).toBe(starts - 1);
    expect(board.starts[1]!.ns).toBeGreaterThan(BOOT_ROM_NS);
    expect(board.starts.slice(1).every(({ reason }) => reason === "forced")).toBe(true);
  });

  test("outputs fall to their idle level when the chip ends", () => {
    const board = boardWith((code) =>
      fullSpeed(code)
        .poke(0xd0000010, 1 << 8)
        .poke(0xd0000020, 1 << 8)
        .poke(0x40014044, 5)
        .halt(),
    );
    board.run(20e6);
    expect(board.pins.level(8)).toBe(1);
    board.powerOff();
    expect(board.pins.edges("nitrous1")).toEqual([
      { ns: expect.any(Number), level: 1 },
      { ns: board.nowNs, level: 0 },
    ]);
    expect(board.powered).toBe(false);
    expect(() => board.chip).toThrow("no power");
  });
});

describe("pads", () => {
  const drive = (code: Assembler) =>
    fullSpeed(code)
      .poke(0xd0000010, 1 << 8)
      .poke(0xd0000020, 1 << 8)
      .poke(0x40014044, 5);

  test("an output that its pad disables is not driven", () => {
    const board = boardWith((code) => drive(code.poke(0x4000f000, 1 << 8).poke(0x4001c024, 0xd6)).halt());
    board.run(20e6);
    expect(board.pins.level(8)).toBe(0);
  });

  test("inputs are on after a reset, and read what the car gives them", () => {
    const board = sleeper();
    const { core } = board.chip.rp2040;
    board.harness.setSwitch("arm", true);
    expect((core.readUint32(0xd0000004) >> 21) & 1).toBe(1);
    board.harness.setSwitch("arm", false);
    expect((core.readUint32(0xd0000004) >> 21) & 1).toBe(0);
  });

  test("a board starts with no edge remembered", () => {
    const { core } = sleeper().chip.rp2040;
    for (const offset of [0xf0, 0xf4, 0xf8, 0xfc])
      expect(core.readUint32(0x40014000 + offset) & 0xcccccccc).toBe(0);
  });

  test("a level set twice is no edge", () => {
    const board = sleeper();
    const interrupts = () => board.chip.rp2040.core.readUint32(0x400140fc);
    board.harness.setInput("enginePulse", 1);
    board.chip.rp2040.core.writeUint32(0x400140fc, 0xf000);
    board.harness.setInput("enginePulse", 1);
    expect((interrupts() >> 12) & 0xc).toBe(0);
    board.harness.setInput("enginePulse", 0);
    expect((interrupts() >> 12) & 0xc).toBe(4);
  });
});

describe("faults", () => {
  const mark = (code: Assembler) => code.poke(SRAM, 0x600d).halt();

  test("an injected HardFault reaches its handler", () => {
    const board = boardWith((code) => code.halt(), { [HARD_FAULT]: mark });
    board.run(6e6);
    board.injectHardFault();
    board.run(7e6);
    expect(sramWord(board, SRAM)).toBe(0x600d);
  });

  test("a fault of the program becomes one only when asked for, with the place on the stack", () => {
    const bad = (code: Assembler) =>
      code
        .load(1, SRAM + 2)
        .raw(0x6808)
        .halt();
    const strict = boardWith(bad, { [HARD_FAULT]: mark });
    expect(() => strict.run(10e6)).toThrow("unaligned");
    const lenient = boardWith(bad, { [HARD_FAULT]: (code) => code.load(0, SRAM).raw(0x9906, 0x6001).halt() });
    lenient.raiseFaults = true;
    lenient.run(10e6);
    expect(sramWord(lenient, SRAM)).toBe(MAIN + 2);
  });

  test("what silicon would not answer with a HardFault throws all the same", () => {
    const board = boardWith((code) => code.poke(0x10000000, 0).halt(), { [HARD_FAULT]: mark });
    board.raiseFaults = true;
    expect(() => board.run(10e6)).toThrow("plain store into flash");
  });

  test("a fault inside the HardFault handler is a lockup", () => {
    const board = boardWith((code) => code.halt(), { [HARD_FAULT]: (code) => code.raw(0xde00) });
    board.raiseFaults = true;
    board.run(6e6);
    board.injectHardFault();
    expect(() => board.run(7e6)).toThrow("lockup");
  });
});

describe("watches", () => {
  test("are called each time an address is about to run, until taken away", () => {
    const board = boardWith((code) => code.label("loop").raw(0xbf00).branch("loop"));
    let passes = 0;
    board.watch(MAIN, () => passes++);
    board.run(5e6);
    const before = passes;
    expect(before).toBeGreaterThan(10);
    board.unwatch(MAIN);
    board.run(6e6);
    expect(passes).toBe(before);
  });
});

describe("the USB bootloader", () => {
  test("asking for it ends the program until the next power-on", () => {
    const board = boardWith((code) =>
      code
        .load(0, 0x14)
        .raw(0x8800)
        .raw(0x8801)
        .label("next")
        .raw(0x8801)
        .load(2, 0x4255)
        .raw(0x4291)
        .branch("found", "zero")
        .raw(0x3004)
        .branch("next")
        .label("found")
        .raw(0x8840, 0x4700),
    );
    board.run(10e6);
    expect(board.inBootloader).toBe(true);
    expect(board.powered).toBe(false);
    board.powerOn();
    expect(board.inBootloader).toBe(false);
  });
});
