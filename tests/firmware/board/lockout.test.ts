// A lockout is kept in the chip over every reset that is not a power-on; and the keep-alive pin can stand high for the test at arming.
import { describe, expect, test } from "vitest";
import { OUTPUT_BITS } from "#shared-schema/model/blocks.ts";
import { gpioOf } from "#shared-schema/model/pins.ts";
import { ALL_OFF, BoardRig } from "./board-rig.ts";

const KEPT = 0x0123_eb14;
/** Thumb: b to itself. */
const FOR_EVER = [0xfe, 0xe7];
const AGAIN_US = 150_000;

const RESETS: Readonly<Record<string, (rig: BoardRig) => void>> = {
  "a trap": (rig) => rig.board.injectHardFault(),
  "a bite of the watchdog": (rig) => rig.board.patch("pins_apply", Uint8Array.from(FOR_EVER)),
  "a restart that was asked for": (rig) => rig.callInsteadOfServe("w2c_board_restart", [0, 0]),
};

function locked(): BoardRig {
  const rig = new BoardRig();
  expect(rig.boot("lockout"), "nothing is kept after power-on").toBe(0);
  rig.outputs = { ...ALL_OFF, lockout: KEPT };
  rig.board.runFor(5_000);
  rig.outputs = structuredClone(ALL_OFF);
  rig.board.runFor(5_000);
  return rig;
}

describe.each(Object.entries(RESETS))("over %s", (_, reset) => {
  test("the lockout is kept, once and again, and power-off releases it", () => {
    const rig = locked();
    for (let n = 2; n <= 3; n++) {
      reset(rig);
      rig.board.runFor(AGAIN_US);
      expect(rig.board.starts.length).toBe(n);
      expect(rig.boot("lockout")).toBe(KEPT);
    }
    rig.board.powerCycle();
    rig.board.runFor(AGAIN_US);
    expect(rig.boot("lockout")).toBe(0);
  });
});

describe("the keep-alive pin", () => {
  const pin = gpioOf("keepAlive");
  const keepAliveWith = (flags: number): { level: number; edges: number } => {
    const rig = new BoardRig();
    rig.outputs = { ...ALL_OFF, flags: 1 << OUTPUT_BITS.keepAlive };
    rig.board.runFor(20_000);
    rig.outputs = { ...ALL_OFF, flags };
    rig.board.runFor(2_000);
    rig.board.pins.forget();
    rig.board.runFor(50_000);
    return { level: rig.board.pins.level(pin), edges: rig.board.pins.edges("keepAlive").length };
  };

  test("has an edge in each tick, stands high, or is low, as the outputs say", () => {
    expect(keepAliveWith(1 << OUTPUT_BITS.keepAlive).edges).toBe(50);
    expect(keepAliveWith(1 << OUTPUT_BITS.keepAliveHigh)).toEqual({ level: 1, edges: 0 });
    expect(keepAliveWith(0)).toEqual({ level: 0, edges: 0 });
  });
});
