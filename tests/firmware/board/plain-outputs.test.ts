// The plain outputs at the pins: each follows its own flag, and a purge that ends as a stage opens is over before its valve can move.
import { describe, expect, test } from "vitest";
import { OUTPUT_BITS } from "#shared-schema/model/blocks.ts";
import { gpioOf, LAMP_GPIO } from "#shared-schema/model/pins.ts";
import { ALL_OFF, BoardRig } from "./board-rig.ts";

const NAMES = ["purge", "heater", "bottleValve", "stageActive", "lamp"] as const;
const TICKS_US = 2_500;
/** Between the first solenoid pin and the end of the purge lie some hundred instructions. */
const SAME_TICK_NS = 100e3;

describe("the plain outputs", () => {
  const rig = new BoardRig();
  const high = (): string[] =>
    NAMES.filter((name) => rig.board.pins.level(name === "lamp" ? LAMP_GPIO : gpioOf(name)) === 1);

  test.each(NAMES)("%s is high with its flag, and no other is", (name) => {
    rig.outputs = { ...ALL_OFF, flags: 1 << OUTPUT_BITS[name] };
    rig.board.runFor(TICKS_US);
    expect(high()).toEqual([name]);
    rig.rest();
    rig.board.runFor(TICKS_US);
    expect(high()).toEqual([]);
  });

  test("the purge and a stage change in the same tick: the purge is over at once, and comes back only behind the stage's end", () => {
    const purge = 1 << OUTPUT_BITS.purge;
    rig.outputs = { ...ALL_OFF, flags: purge };
    rig.board.runFor(TICKS_US);
    rig.board.pins.forget();
    rig.outputs = { ...ALL_OFF, pulse: [25_000, 25_000, 0, 0, 0, 0, 0, 0] };
    rig.board.runFor(TICKS_US);
    const { pins } = rig.board;
    const opened = pins.edges("nitrous1")[0]!.ns;
    expect(pins.edges("purge").map(({ level }) => level)).toEqual([0]);
    expect(pins.edges("purge")[0]!.ns - opened).toBeLessThan(SAME_TICK_NS);
    pins.forget();
    rig.outputs = { ...ALL_OFF, flags: purge };
    rig.board.runFor(TICKS_US);
    const shut = pins.edges("nitrous1")[0]!;
    expect(shut.level).toBe(0);
    expect(pins.edges("purge")[0]!.ns).toBeGreaterThan(shut.ns);
  });
});
