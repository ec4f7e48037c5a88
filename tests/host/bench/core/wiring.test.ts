// The master relay before a core rig: each of its movements takes its time, also the one right after another.
import { expect, test } from "vitest";
import { SOUND_RELAY, Wiring } from "#host/bench/core/wiring.ts";

const MV = 13_800;

/** Ticks until the supply behind the relay has changed. */
function ticksToMove(wiring: Wiring, keepAlive: boolean): number {
  const before = wiring.supplyMv;
  for (let ticks = 1; ticks <= 100; ticks++) {
    wiring.pass(1000, keepAlive, MV, 0);
    if (wiring.supplyMv !== before) return ticks;
  }
  return Number.POSITIVE_INFINITY;
}

test("closes, opens and closes again, each in its own time", () => {
  const wiring = new Wiring(SOUND_RELAY);
  expect([true, false, true, false].map((keepAlive) => ticksToMove(wiring, keepAlive))).toEqual([
    12, 10, 12, 10,
  ]);
});
