// The charge pump of way 2, simulated at the corners of its parts: it holds while edges come, and lets go in time when they stop.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { TICK_US, WATCHDOG_US } from "#shared-schema/model/blocks.ts";
import { INTERLOCKS, interlockNumber } from "#shared-schema/model/interlocks.ts";
import { runs } from "../support/effort.ts";
import { atRest, collector, edge, letsGo, lowestHold, NOMINAL, type Pump, pass } from "./pump.ts";
import { value } from "./values.ts";

const nominal = NOMINAL;
const scaled = (capacitor: number, resistor: number): Pump => ({
  ...nominal,
  coupling: nominal.coupling * capacitor,
  reservoir: nominal.reservoir * capacitor,
  bleed: nominal.bleed * resistor,
});
// Cold, low supply, small capacitors: hardest to hold. Hot, high supply, large capacitors: slowest to let go.
const weakest: Pump = {
  ...scaled(0.9, 0.99),
  base: nominal.base * 1.01,
  series: nominal.series + 30,
  supply: nominal.supply * 0.95,
  diode: 0.4,
  threshold: 0.8,
  gain: 100,
};
const slowest: Pump = {
  ...scaled(1.1, 1.01),
  base: nominal.base * 0.99,
  series: nominal.series - 20,
  supply: nominal.supply * 1.05,
  diode: 0.2,
  threshold: 0.45,
  gain: 600,
};
const spacing = value("pump.edge-spacing");
const on = value("pump.on-current");
const off = value("pump.off-current");

describe("holds", () => {
  test("with edges two ticks apart, at the weakest corner, with twice the current that turns Q2 on", () => {
    expect(spacing).toBe((2 * TICK_US) / 1e6);
    const hold = lowestHold(weakest, spacing);
    expect(hold).toBeCloseTo(value("pump.hold-current"), 5);
    expect(hold).toBeGreaterThan(2 * on);
  });

  const between = (low: number, high: number) => fc.double({ min: low, max: high, noNaN: true });
  const corner = fc.record({
    supply: between(4.75, 5.25),
    series: between(500, 550),
    coupling: between(0.9, 1.1).map((k) => k * nominal.coupling),
    reservoir: between(0.9, 1.1).map((k) => k * nominal.reservoir),
    bleed: between(0.99, 1.01).map((k) => k * nominal.bleed),
    base: between(0.99, 1.01).map((k) => k * nominal.base),
    diode: between(0.2, 0.4),
    threshold: between(0.45, 0.8),
    gain: between(100, 600),
  });
  test.prop([corner, between(0.0008, 0.002)], runs(60))(
    "and lets go in time, anywhere inside the tolerances and at any edge spacing up to two ticks",
    (pump, apart) => {
      expect(lowestHold(pump, apart)).toBeGreaterThan(on);
      expect(letsGo(pump, apart, off)).toBeLessThan(value("pump.release-limit"));
    },
  );
});

describe("lets go", () => {
  test("after the last edge within what the design counts with, even at the slowest corner", () => {
    const typical = letsGo(nominal, TICK_US / 1e6, off);
    const worst = letsGo(slowest, TICK_US / 1e6, off);
    expect(typical).toBeCloseTo(value("pump.release"), 4);
    expect(worst).toBeCloseTo(value("pump.release-worst"), 4);
    expect(worst).toBeLessThan(value("pump.release-limit"));
  });

  test("of a level that does not move, high or low", () => {
    const state = atRest(slowest);
    let most = 0;
    pass(slowest, state, 0.1, () => {
      most = Math.max(most, collector(slowest, state));
      return false;
    });
    expect(most).toBe(0);
  });

  test("after one stray edge before a relay could close", () => {
    const state = atRest(slowest);
    edge(slowest, state);
    const held = letsGo(slowest, spacing, off, 1);
    expect(held).toBeGreaterThan(0);
    expect(held).toBeLessThan(value("relay.operate"));
  });

  test("with R3 or R9 open, in the longer time that is stated for a single fault", () => {
    const one = letsGo({ ...slowest, bleed: 2 * slowest.bleed }, TICK_US / 1e6, off);
    expect(one).toBeCloseTo(value("pump.release-one-bleed"), 4);
    // Still long before the watchdog bites.
    expect(one + value("relay.release")).toBeLessThan(0.65 * value("hang.watchdog"));
    const sum = one + value("relay.release") + value("clamp.release-diode");
    expect(sum).toBeCloseTo(value("hang.single-fault"), 3);
  });

  test("not in time with neither of them, nor with C1 and C2 ten times too large: the bound can fail", () => {
    const limit = value("pump.release-one-bleed");
    const unbled = letsGo({ ...slowest, bleed: 1e9 }, TICK_US / 1e6, off);
    expect(unbled).toBeGreaterThan(4 * limit);
    // The test at arming would not notice it: that is why there are two.
    expect(unbled + value("relay.release")).toBeLessThan(value("arming.follow"));
    expect(letsGo({ ...slowest, coupling: 3.3e-6 }, TICK_US / 1e6, off)).toBeGreaterThan(limit);
  });
});

test("with one phase only, charged at every second edge, the same parts would not hold", () => {
  expect(lowestHold(weakest, 2 * spacing)).toBeLessThan(on);
});

test("currents of the second transistor follow from its gate resistors", () => {
  expect(16 / (2 * value("pump.gate"))).toBeCloseTo(on, 6);
  expect(1 / value("pump.gate")).toBeCloseTo(off, 6);
  // At a jump start the pump still holds, and the zener keeps the gate whole in a load dump.
  const jump = value("supply.jump");
  expect(jump / (2 * value("pump.gate"))).toBeCloseTo(value("pump.on-current-jump"), 6);
  expect(value("pump.on-current-jump")).toBeLessThan(value("pump.hold-current"));
  expect(value("dump.node") / 2).toBeGreaterThan(value("pump.gate-limit"));
  expect(value("pump.gate-zener")).toBeLessThan(value("pump.gate-limit"));
  expect(jump / 2).toBeLessThan(value("pump.gate-zener"));
  expect(value("dump.node")).toBeLessThan(value("pump.q1-voltage"));
});

test("a hang ends with an open relay long before the watchdog bites, and that within the time of the catalogue", () => {
  const sum = value("pump.release-limit") + value("relay.release");
  expect(value("hang.pump-and-relay")).toBeCloseTo(sum, 9);
  expect(value("hang.watchdog")).toBe(WATCHDOG_US / 1e6);
  expect(sum).toBeLessThan(0.55 * value("hang.watchdog"));
  expect(WATCHDOG_US).toBeLessThanOrEqual(INTERLOCKS[interlockNumber("HANG")]!.withinUs! - TICK_US);
});
