// The core's corrections: what an interrupt costs, what PRIMASK and WFI do, and that sleeping takes exactly as long as it should.
import { describe, expect, test } from "vitest";
import { type Assembler, BX_LR, INTERRUPTS_OFF, INTERRUPTS_ON, NOP, WFI } from "../support/assembler.ts";
import { boardWith, fullSpeed, HANDLERS, sramWord } from "../support/program.ts";

const TIMER = 0x40054000;
const ALARM0 = TIMER + 0x10;
const INTR = TIMER + 0x34;
const INTE = TIMER + 0x38;
const NVIC_ENABLE = 0xe000e100;
const SIO = 0xd0000000;
const GP16 = 1 << 16;
const IO_GP16 = 0x40014004 + 8 * 16;
const IO_INTR3 = 0x400140fc;
const IO_INTE3 = 0x4001410c;
const EDGE_HIGH_GP27 = 8 << 12;
const IO_VECTOR = 16 + 13;
const STORE_R3_AT_R2 = 0x6013;
const STORE_R3_AT_R4 = 0x6023;
const MARK = 0x20000000;
const TIMER_VECTOR = 16;
const CYCLE_NS = 8;

/** r2 points at SIO's set register, r4 at its clear register, r3 holds the pin; GP27's rising edge is interrupt 13. */
const pinBoard = (afterSleep: (code: Assembler) => Assembler) =>
  boardWith(
    (code) =>
      afterSleep(
        fullSpeed(code)
          .poke(SIO + 0x20, GP16)
          .poke(IO_GP16, 5)
          .poke(IO_INTE3, EDGE_HIGH_GP27)
          .poke(NVIC_ENABLE, 1 << 13)
          .load(2, SIO + 0x14)
          .load(3, GP16)
          .load(4, SIO + 0x18)
          .raw(WFI),
      ).halt(),
    { [IO_VECTOR]: (code) => code.poke(IO_INTR3, EDGE_HIGH_GP27).raw(STORE_R3_AT_R2, BX_LR) },
  );

describe("interrupts", () => {
  test("a sleeping core is in its handler 15 cycles after the cause, and back 13 cycles after the return", () => {
    const board = pinBoard((code) => code.raw(STORE_R3_AT_R4));
    const causeNs = 20e6 + 13;
    board.at(causeNs, () => board.harness.setInput("enginePulse", 1));
    board.watch(HANDLERS + 16, () => expect(board.nowNs - causeNs).toBe(15 * CYCLE_NS));
    board.run(21e6);
    const [up, down] = board.pins.edges("keepAlive");
    const store = 1;
    const branchExchange = 2;
    expect(down!.ns - up!.ns).toBe((store + branchExchange + 13) * CYCLE_NS);
  });

  test("an interrupt held off by PRIMASK ends WFI but runs only once it is let in", () => {
    const board = boardWith(
      (code) =>
        fullSpeed(code)
          .poke(MARK, 0)
          .poke(MARK + 4, 0)
          .poke(INTE, 1)
          .raw(INTERRUPTS_OFF)
          .poke(NVIC_ENABLE, 1)
          .poke(ALARM0, 5000)
          .raw(WFI)
          .copy(MARK, MARK + 4)
          .raw(INTERRUPTS_ON, NOP)
          .halt(),
      { [TIMER_VECTOR]: (code) => code.poke(MARK, 1).poke(INTR, 1).raw(BX_LR) },
    );
    board.run(20e6);
    expect(sramWord(board, MARK + 4)).toBe(0);
    expect(sramWord(board, MARK)).toBe(1);
  });

  test("WFI with the interrupt pending already does not sleep", () => {
    const board = boardWith((code) =>
      fullSpeed(code)
        .poke(MARK, 0)
        .poke(INTE, 1)
        .raw(INTERRUPTS_OFF)
        .poke(NVIC_ENABLE, 1)
        .poke(TIMER + 0x3c, 1)
        .raw(WFI)
        .poke(MARK, 1)
        .halt(),
    );
    board.run(20e6);
    expect(sramWord(board, MARK)).toBe(1);
  });
});

describe("sleep", () => {
  test("a core that waits with nothing scheduled is an error", () => {
    const board = boardWith((code) => code.raw(WFI).halt());
    expect(() => board.run(10e6)).toThrow("nothing is scheduled");
  });

  test("sleeping costs no instructions and ends at the time asked for", () => {
    const board = boardWith((code) => fullSpeed(code).label("sleep").raw(WFI).branch("sleep"));
    board.at(60e9, () => {});
    board.run(10e6);
    const before = board.instructions;
    board.run(30e9);
    expect(board.nowNs).toBe(30e9);
    expect(board.instructions).toBe(before);
  });
});
