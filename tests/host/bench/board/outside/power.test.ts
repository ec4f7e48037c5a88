// The second way to off, the drivers, and the pulse senders.

import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { VirtualClock } from "#host/bench/board/clock.ts";
import { DRAIN_ON_MV, DRAIN_OPEN_LOAD_MV, SolenoidDrivers } from "#host/bench/board/outside/drivers.ts";
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
  /** Edges `spacingNs` apart from time 0 on; the clock then runs on to `untilNs`. */
  function drive(count: number, spacingNs: number, untilNs: number): MasterRelay {
    const clock = new VirtualClock();
    const relay = new MasterRelay(clock);
    for (let i = 0; i < count; i++) clock.createAlarm(() => relay.keepAliveEdge()).scheduleAt(i * spacingNs);
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
    const at = (ns: number) => clock.createAlarm(() => relay.keepAliveEdge()).scheduleAt(ns);
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

describe("drivers", () => {
  const drivers = (high: boolean, supplyMv: number) =>
    new SolenoidDrivers(
      () => high,
      () => supplyMv,
    );

  test("the drain rises to the supply when off and falls when on", () => {
    expect(drivers(false, 13_800).drainMv(0)).toBe(13_800);
    expect(drivers(true, 13_800).drainMv(0)).toBe(DRAIN_ON_MV);
    expect(drivers(false, 0).drainMv(0)).toBe(0);
    expect(drivers(true, 0).drainMv(0)).toBe(0);
  });

  test("current flows only with pin and supply", () => {
    expect(drivers(true, 13_800).energised(3)).toBe(true);
    expect(drivers(false, 13_800).energised(3)).toBe(false);
    expect(drivers(true, 0).energised(3)).toBe(false);
  });

  test.each([
    ["shorted", false, DRAIN_ON_MV, true],
    ["open", true, 13_800, false],
    ["unplugged", false, DRAIN_OPEN_LOAD_MV, false],
    ["unplugged", true, 0, false],
  ] as const)("%s, pin %s", (fault, high, drainMv, current) => {
    const group = drivers(high, 13_800);
    group.faults[5] = fault;
    expect(group.drainMv(5)).toBe(drainMv);
    expect(group.energised(5)).toBe(current);
    expect(group.drainMv(4)).toBe(high ? DRAIN_ON_MV : 13_800);
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
