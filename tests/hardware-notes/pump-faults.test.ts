// Single faults of the charge pump, simulated: which hold the relay at a level of the pin, which drop it, which nobody notices.
import { test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { TICK_US } from "#shared-schema/model/blocks.ts";
import {
  atLevel,
  type Coil,
  coilCurrent,
  collector,
  letsGo,
  lowestHold,
  NOMINAL,
  type PhaseFault,
  type Pump,
} from "./pump.ts";
import { value } from "./values.ts";

const on = value("pump.on-current");
const off = value("pump.off-current");
const tick = TICK_US / 1e6;
const coil: Coil = {
  supply: value("coil.supply"),
  resistance: value("relay.resistance"),
  inductance: value("relay.inductance"),
  clamp: 2 * value("relay.clamp") + value("clamp.diode"),
  on,
};
const withFault = (failed: PhaseFault): Pump => ({ ...NOMINAL, failed });
const holdsAt = (pump: Pump, level: "low" | "high"): boolean => collector(pump, atLevel(pump, level)) > on;

test("a sound pump holds at no level", () => {
  expect(holdsAt(NOMINAL, "low") || holdsAt(NOMINAL, "high")).toBe(false);
});

describe("a shorted coupling capacitor works on, and holds the relay for ever", () => {
  test("C1 while the pin is low: the relay is closed at rest", () => {
    const pump = withFault({ phase: 0, part: "coupling", how: "short" });
    expect([holdsAt(pump, "low"), holdsAt(pump, "high")]).toEqual([true, false]);
    expect(lowestHold(pump, tick)).toBeGreaterThan(on);
  });

  test("C2 while the pin is high: a test that stops only at low does not see it", () => {
    const pump = withFault({ phase: 1, part: "coupling", how: "short" });
    expect([holdsAt(pump, "low"), holdsAt(pump, "high")]).toEqual([false, true]);
    expect(lowestHold(pump, tick)).toBeGreaterThan(on);
  });
});

const DEAD: readonly [name: string, fault: PhaseFault][] = ([0, 1] as const).flatMap((phase) => {
  const [capacitor, bottom, top] = phase === 0 ? ["C1", "D1", "D2"] : ["C2", "D3", "D4"];
  return [
    [`${capacitor} open`, { phase, part: "coupling", how: "open" }],
    [`${bottom} open`, { phase, part: "bottom", how: "open" }],
    [`${bottom} shorted`, { phase, part: "bottom", how: "short" }],
    [`${top} open`, { phase, part: "top", how: "open" }],
  ] as [string, PhaseFault][];
});

test.each(DEAD)(
  "with %s one phase is dead, and the relay never gets enough current to close",
  (_, failed) => {
    const highest = coilCurrent(withFault(failed), coil, tick)[1];
    expect(highest).toBeLessThanOrEqual(value("pump.coil-dead-phase") + 0.0005);
    expect(highest).toBeLessThan(value("relay.pull-in"));
    expect(coilCurrent(NOMINAL, coil, tick)[0]).toBeGreaterThan(value("relay.pull-in"));
  },
);

test("the relay's pull-in is 8 V across its coil", () => {
  expect(8 / value("relay.resistance")).toBeCloseTo(value("relay.pull-in"), 3);
});

test.each([
  ["D2", 0],
  ["D4", 1],
] as const)("with %s shorted it works on and lets go in time, but bridges no missed tick", (_, phase) => {
  const pump = withFault({ phase, part: "top", how: "short" });
  expect(lowestHold(pump, tick)).toBeGreaterThan(on);
  expect(letsGo(pump, tick, off)).toBeLessThan(value("pump.release-limit"));
  expect(coilCurrent(pump, coil, 2 * tick)[0]).toBeLessThan(value("relay.drop-out"));
  expect(holdsAt(pump, "low") || holdsAt(pump, "high")).toBe(false);
});

test("with C3 open the coupling capacitors do its work: it holds, and lets go in time", () => {
  // A tenth is left in place of nothing, so that the small steps stay stable.
  const pump: Pump = { ...NOMINAL, reservoir: NOMINAL.reservoir / 10 };
  expect(lowestHold(pump, 2 * tick)).toBeGreaterThan(on);
  expect(letsGo(pump, tick, off)).toBeLessThan(value("pump.release-limit"));
});
