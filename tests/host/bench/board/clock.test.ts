// The virtual clock against a plain sort: alarms fire in time order, equal times in the order they were set.

import { fc, test } from "@fast-check/vitest";
import { expect } from "vitest";
import { VirtualClock } from "#host/bench/board/clock.ts";

test.prop([fc.array(fc.record({ ns: fc.nat(50), cancelled: fc.boolean() }), { maxLength: 40 })])(
  "fires what was not cancelled, in order, each at its own time",
  (wanted) => {
    const clock = new VirtualClock();
    const fired: { id: number; ns: number }[] = [];
    const alarms = wanted.map(({ ns }, id) => {
      const alarm = clock.createAlarm(() => fired.push({ id, ns: clock.nanos }));
      alarm.scheduleAt(ns);
      return alarm;
    });
    wanted.forEach(({ cancelled }, id) => {
      if (cancelled) alarms[id]!.cancel();
    });
    clock.advanceTo(100);
    const expected = wanted
      .map(({ ns, cancelled }, id) => ({ id, ns, cancelled }))
      .filter(({ cancelled }) => !cancelled)
      .sort((a, b) => a.ns - b.ns || a.id - b.id)
      .map(({ id, ns }) => ({ id, ns }));
    expect(fired).toEqual(expected);
    expect(clock.nanos).toBe(100);
    expect(clock.nextNanos).toBe(Number.POSITIVE_INFINITY);
  },
);

test.prop([fc.array(fc.tuple(fc.nat(9), fc.nat(60)), { minLength: 1, maxLength: 60 })])(
  "an alarm set again moves, and fires once",
  (settings) => {
    const clock = new VirtualClock();
    const fired = new Map<number, number[]>();
    const alarms = Array.from({ length: 10 }, (_, id) =>
      clock.createAlarm(() => fired.set(id, [...(fired.get(id) ?? []), clock.nanos])),
    );
    const last = new Map<number, number>();
    for (const [id, ns] of settings) {
      alarms[id]!.scheduleAt(ns);
      last.set(id, ns);
    }
    clock.advanceTo(1000);
    expect([...fired.entries()].sort()).toEqual([...last.entries()].map(([id, ns]) => [id, [ns]]).sort());
  },
);

test("an alarm that an alarm sets for the same moment fires in that moment", () => {
  const clock = new VirtualClock();
  const times: number[] = [];
  clock.createAlarm(() => clock.createAlarm(() => times.push(clock.nanos)).schedule(0)).scheduleAt(7);
  clock.advanceTo(8);
  expect(times).toEqual([7]);
});
