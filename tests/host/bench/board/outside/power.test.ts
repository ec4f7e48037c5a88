// The second way to off, the drivers, and the pulse senders.

import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { VirtualClock } from "#host/bench/board/clock.ts";
import { CLAMP_MV, Coil, DIODE_MV } from "#host/bench/board/outside/coil.ts";
import {
  DRAIN_ON_MV,
  DRAIN_OPEN_LOAD_MV,
  type DriverFault,
  LATE_NS,
  SolenoidDrivers,
} from "#host/bench/board/outside/drivers.ts";
import { PulseSender } from "#host/bench/board/outside/pulses.ts";
import {
  MasterRelay,
  PUMP_HOLD_NS,
  PUMP_MAX_SPACING_NS,
  PUMP_START_EDGES,
  RELAY_CLOSE_NS,
  RELAY_OPEN_NS,
} from "#host/bench/board/outside/relay.ts";

describe("master relay", () => {
  /** The first edge is a rising one. */
  const edge = (relay: MasterRelay, n: number): void => relay.keepAliveEdge(n % 2 === 0 ? 1 : 0);

  /** Edges `spacingNs` apart from time 0 on; the clock then runs on to `untilNs`. */
  function drive(count: number, spacingNs: number, untilNs: number): MasterRelay {
    const clock = new VirtualClock();
    const relay = new MasterRelay(clock);
    for (let i = 0; i < count; i++) clock.createAlarm(() => edge(relay, i)).scheduleAt(i * spacingNs);
    clock.advanceTo(untilNs);
    return relay;
  }

  test.prop([fc.integer({ min: 1, max: 100 }), fc.integer({ min: 1000, max: PUMP_MAX_SPACING_NS })])(
    "closes after enough edges and opens after the last, whatever their rate",
    (count, spacingNs) => {
      const relay = drive(count, spacingNs, 1e9);
      const upNs = (PUMP_START_EDGES - 1) * spacingNs;
      const downNs = (count - 1) * spacingNs + PUMP_HOLD_NS;
      const closes = count >= PUMP_START_EDGES && downNs - upNs > RELAY_CLOSE_NS;
      expect(relay.edges).toEqual(
        closes
          ? [
              { ns: upNs + RELAY_CLOSE_NS, level: 1 },
              { ns: downNs + RELAY_OPEN_NS, level: 0 },
            ]
          : [],
      );
    },
  );

  test.prop([fc.integer({ min: PUMP_MAX_SPACING_NS + 1, max: 100e6 })])(
    "slow edges never close it",
    (spacingNs) => {
      expect(drive(50, spacingNs, 60 * spacingNs).edges).toEqual([]);
    },
  );

  test("slow edges do not hold it once it is closed", () => {
    const clock = new VirtualClock();
    const relay = new MasterRelay(clock);
    const at = (ns: number) => clock.createAlarm(() => edge(relay, 0)).scheduleAt(ns);
    for (let i = 0; i < 20; i++) at(i * 1e6);
    for (let i = 1; i < 20; i++) at(19e6 + i * 3e6);
    clock.advanceTo(1e9);
    expect(relay.edges.at(-1)).toEqual({ ns: 19e6 + PUMP_HOLD_NS + RELAY_OPEN_NS, level: 0 });
  });

  test("a welded contact conducts always, a dead one never", () => {
    const welded = drive(0, 1e6, 0);
    welded.setFault("welded");
    expect(welded.closed).toBe(true);
    const dead = drive(50, 1e6, 40e6);
    expect(dead.closed).toBe(true);
    dead.setFault("dead");
    expect(dead.closed).toBe(false);
    dead.setFault("none");
    expect(dead.closed).toBe(true);
  });
});

test("with the wire of the keep-alive broken it opens as if the edges had ended, and closes by those that come again", () => {
  const clock = new VirtualClock();
  const relay = new MasterRelay(clock);
  for (let ms = 0; ms <= 100; ms++)
    clock.createAlarm(() => relay.keepAliveEdge((ms % 2) as 0 | 1)).scheduleAt(ms * 1e6);
  clock.advanceTo(30.5e6);
  relay.setFault("no-edges");
  clock.advanceTo(60.5e6);
  expect(relay.edges.at(-1)).toEqual({ ns: 30e6 + PUMP_HOLD_NS + RELAY_OPEN_NS, level: 0 });
  relay.setFault("none");
  clock.advanceTo(100e6);
  expect(relay.closed).toBe(true);
});

describe("a pump with a shorted coupling capacitor", () => {
  test.each([
    ["holds-high", 1],
    ["holds-low", 0],
  ] as const)(
    "%s without edges while the pin stands at %i, and lets go at the other level",
    (fault, level) => {
      const clock = new VirtualClock();
      const relay = new MasterRelay(clock);
      const other = level === 1 ? 0 : 1;
      relay.keepAliveEdge(other);
      clock.advanceTo(100e6);
      relay.setFault(fault);
      clock.advanceTo(200e6);
      expect(relay.closed).toBe(false);
      relay.keepAliveEdge(level);
      clock.advanceTo(1e9);
      expect(relay.closed).toBe(true);
      relay.keepAliveEdge(other);
      clock.advanceTo(1e9 + PUMP_HOLD_NS + RELAY_OPEN_NS);
      expect(relay.closed).toBe(false);
      relay.keepAliveEdge(level);
      clock.advanceTo(2e9);
      expect(relay.closed).toBe(true);
      relay.setFault("none");
      clock.advanceTo(2e9 + PUMP_HOLD_NS + RELAY_OPEN_NS);
      expect(relay.closed).toBe(false);
    },
  );
});

describe("drivers", () => {
  const FIRST = 8;
  /** All pins at one level since long; the time can go on from there. */
  function drivers(high: boolean, supplyMv: number, fault: DriverFault = "none") {
    const at = { ns: 0, high };
    const group = new SolenoidDrivers({
      nowNs: () => at.ns,
      pinHigh: () => at.high,
      supplyMv: () => supplyMv,
    });
    group.faults[5] = fault;
    const turn = (level: boolean): void => {
      at.high = level;
      for (let n = 0; n < 8; n++) group.pinChanged(FIRST + n);
    };
    turn(high);
    at.ns = 1e9;
    return { group, at, turn };
  }
  const drain = (high: boolean, supplyMv: number): number => drivers(high, supplyMv).group.drainMv(0);

  test("the drain rises to the supply when off and falls when on", () => {
    expect(drain(false, 13_800)).toBe(13_800);
    expect(drain(true, 13_800)).toBe(DRAIN_ON_MV);
    expect(drain(false, 0)).toBe(0);
    expect(drain(true, 0)).toBe(0);
  });

  test("current flows only with pin and supply", () => {
    expect(drivers(true, 13_800).group.energised(3)).toBe(true);
    expect(drivers(false, 13_800).group.energised(3)).toBe(false);
    expect(drivers(true, 0).group.energised(3)).toBe(false);
  });

  test.each([
    ["shorted", false, DRAIN_ON_MV, true],
    ["open", true, 13_800, false],
    ["late", true, DRAIN_ON_MV, true],
    ["unplugged", false, DRAIN_OPEN_LOAD_MV, false],
    ["unplugged", true, 0, false],
  ] as const)("%s, pin %s", (fault, high, drainMv, current) => {
    const { group, at } = drivers(high, 13_800, fault);
    group.drainMv(5);
    at.ns += 1e6;
    expect(Math.abs(group.drainMv(5) - drainMv)).toBeLessThan(1);
    expect(group.energised(5)).toBe(current);
    expect(group.drainMv(4)).toBe(high ? DRAIN_ON_MV : 13_800);
  });

  test("a late driver does not conduct at the start of each pulse", () => {
    const { group, at, turn } = drivers(false, 13_800, "late");
    turn(true);
    at.ns += LATE_NS - 1;
    expect(group.energised(5)).toBe(false);
    at.ns += 1;
    expect(group.energised(5)).toBe(true);
  });

  test("after switch-off the drain stands above the supply until the clamp has ended the current", () => {
    const { group, at, turn } = drivers(true, 13_800);
    turn(false);
    at.ns += 1e6;
    expect(group.drainMv(0)).toBeCloseTo(13_800 + CLAMP_MV, -1);
    expect(group.coils[0]!.mA).toBeGreaterThan(1000);
    at.ns += 10e6;
    expect(group.drainMv(0)).toBeCloseTo(13_800, 0);
    expect(group.coils[0]!.mA).toBe(0);
  });

  test("with its suppressor shorted a drain stays a diode above the supply, and the current takes its time", () => {
    const { group, at, turn } = drivers(true, 13_800, "clamp-shorted");
    turn(false);
    at.ns += 4e6;
    expect(group.drainMv(5)).toBeCloseTo(13_800 + DIODE_MV, 0);
    expect(group.coils[5]!.mA).toBeGreaterThan(1000);
    group.drainMv(4);
    expect(group.coils[4]!.mA).toBe(0);
  });

  test("a lamp does not kick", () => {
    const { group, at, turn } = drivers(true, 13_800, "lamp");
    expect(group.energised(5)).toBe(true);
    turn(false);
    for (let us = 0; us < 2000; us += 100) {
      at.ns += 100e3;
      expect(group.drainMv(5)).toBeLessThan(13_801);
    }
  });

  /** Readings of the converter, one a tick, the first at some phase after the pin has fallen; the last taps of a round are 0.4 ms late. */
  test.prop([
    fc.constantFrom([1.5, 0.008], [4, 0.03], [6, 0.03], [6, 0.06], [4, 0.02]),
    fc.integer({ min: 6_000, max: 40_000 }),
    fc.integer({ min: 10_000, max: 16_500 }),
    fc.integer({ min: 0, max: 1_000 }),
  ])(
    "one of two readings a millisecond apart sees the kick of a sound clamp over 18.5 V, of a shorted one none",
    ([ohm, henry], onUs, supplyMv, phaseUs) => {
      const seen = (["none", "clamp-shorted"] as const).map((fault) => {
        const { group, at, turn } = drivers(false, supplyMv, fault);
        group.coils[5] = new Coil(ohm, henry);
        turn(true);
        at.ns += onUs * 1000;
        turn(false);
        return [phaseUs, 1000].map((us) => {
          at.ns += us * 1000;
          return group.drainMv(5) >= 18_500;
        });
      });
      expect(seen[0]).toContain(true);
      expect(seen[1]).toEqual([false, false]);
    },
  );
});

describe("a coil against its clamp", () => {
  /** Steps of one differential equation, L di/dt = u - R i, beside the closed form. */
  test.prop([
    fc.double({ min: 1.5, max: 6, noNaN: true }),
    fc.double({ min: 0.005, max: 0.05, noNaN: true }),
    fc.integer({ min: 8000, max: 16_000 }),
  ])("rises to supply over resistance and falls to nothing in its time", (ohm, henry, supplyMv) => {
    const coil = new Coil(ohm, henry);
    coil.pass(1e9, true, supplyMv);
    expect(coil.mA).toBeCloseTo(supplyMv / ohm, 3);
    const endNs = coil.decayNs;
    let mA = coil.mA;
    const steps = 2000;
    for (let i = 0; i < steps; i++) mA += ((-CLAMP_MV - ohm * mA) / henry) * (endNs / 2 / steps / 1e9);
    coil.pass(endNs / 2, false, supplyMv);
    expect(Math.abs(coil.mA - mA)).toBeLessThan(0.002 * (supplyMv / ohm));
    coil.pass(endNs / 2 + 1, false, supplyMv);
    expect(coil.mA).toBe(0);
  });
});

describe("pulse sender", () => {
  test.prop([
    fc.array(fc.tuple(fc.integer({ min: 1, max: 2000 }), fc.integer({ min: 1, max: 50 })), { maxLength: 8 }),
  ])("keeps its phase over changes: the edges count the half periods that have passed", (parts) => {
    const clock = new VirtualClock();
    let edges = 0;
    const sender = new PulseSender(clock, () => edges++);
    let halfPeriods = 0;
    for (const [hz, ms] of parts) {
      sender.setHz(hz);
      clock.advanceTo(clock.nanos + ms * 1e6);
      halfPeriods += (2 * hz * ms) / 1000;
    }
    expect(Math.abs(edges - Math.floor(halfPeriods + 1e-6))).toBeLessThanOrEqual(
      Math.abs(halfPeriods - Math.round(halfPeriods)) < 1e-3 ? 1 : 0,
    );
  });

  test("stops where it is and goes on from there", () => {
    const clock = new VirtualClock();
    const edges: number[] = [];
    const sender = new PulseSender(clock, () => edges.push(clock.nanos));
    sender.setHz(100);
    clock.advanceTo(3e6);
    sender.setHz(0);
    clock.advanceTo(103e6);
    sender.setHz(100);
    clock.advanceTo(110e6);
    expect(edges).toEqual([105e6, 110e6]);
  });
});
