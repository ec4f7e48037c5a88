// What the slots say and do without a cut: order, wear, bad ones retired, settings of another schema kept.
import { describe, expect, test } from "vitest";
import { SLOT_NOTES } from "#shared-schema/link/messages.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";
import { loadOf, SLOTS_FROM, StorageBench } from "./bench.ts";
import { LAST, LOADS, NUMBER, prepare, type Scenario, slotBytes } from "./scenarios.ts";

const [first, second, third] = LOADS as [(typeof LOADS)[0], (typeof LOADS)[0], (typeof LOADS)[0]];

function benchWith(scenario: Partial<Scenario>): StorageBench {
  const bench = new StorageBench();
  prepare(bench, { name: "", loads: [], idle: true, ...scenario });
  bench.powerOn();
  return bench;
}

function store(bench: StorageBench, load: (typeof LOADS)[0]): number {
  bench.send(load);
  return bench.commit(load);
}

/** Erases of each slot since the start of a course. */
function erasesIn(bench: StorageBench, course: () => void): number[] {
  const erases = [0, 0, 0, 0];
  bench.flash.onOperation = ({ kind, offset }) => {
    if (kind === "erase" && offset >= SLOTS_FROM) erases[(offset - SLOTS_FROM) / FLASH.sector]!++;
    return undefined;
  };
  course();
  bench.flash.onOperation = undefined;
  return erases;
}

describe("slots", () => {
  test("are used one after the other, and wear evenly: by two erases for a write, and one for a start", () => {
    const bench = benchWith({});
    bench.idle();
    const slots: unknown[] = [];
    const ROUNDS = 40;
    const erases = erasesIn(bench, () => {
      for (let n = 0; n < ROUNDS; n++) {
        expect(store(bench, LOADS[n % 6]!)).toBe(n + 1);
        slots.push(bench.hello().slot);
        bench.idle();
        bench.powerOn();
        bench.idle();
      }
    });
    expect(slots.slice(0, 6)).toEqual([1, 2, 3, 4, 1, 2]);
    expect(Math.max(...erases) - Math.min(...erases)).toBeLessThanOrEqual(1);
    const firstReplacesNothing = -1;
    expect(erases.reduce((sum, n) => sum + n)).toBe(3 * ROUNDS + firstReplacesNothing);
  });

  test("a save after a quiet moment erases nothing between the request and the answer", () => {
    const bench = benchWith({ held: { load: first, sequence: 4, number: NUMBER } });
    bench.idle();
    for (const load of [second, third]) {
      expect(erasesIn(bench, () => void store(bench, load))).toEqual([0, 0, 0, 0]);
      bench.idle();
    }
  });

  test("only the settings in force are left after a write and a quiet moment", () => {
    const bench = benchWith({ held: { load: first, sequence: 1, number: NUMBER } });
    store(bench, second);
    bench.idle();
    const { bytes } = bench.save();
    const used = [0, 1, 2, 3].filter((slot) =>
      bytes.subarray(slot * FLASH.sector, (slot + 1) * FLASH.sector).some((byte) => byte !== 0xff),
    );
    expect(used).toEqual([1]);
  });

  test("lie in flash as docs/storage.md has them", () => {
    const bench = benchWith({});
    store(bench, first);
    const expected = slotBytes(first.block, 1, { number: first.number });
    expect(bench.save().bytes.subarray(0, FLASH.sector)).toEqual(expected);
  });
});

describe("a bad slot", () => {
  test.each([true, false])("is retired and said so, also after a restart (bits stuck high: %s)", (high) => {
    const bench = benchWith({
      held: { load: first, sequence: 4, number: NUMBER },
      stuck: [{ slot: 1, high }],
    });
    bench.idle();
    expect(store(bench, second)).toBe(5);
    expect(bench.hello()).toMatchObject({ slot: 3, retired: 1 << 2 });
    const header = bench.save().bytes.subarray(FLASH.sector, FLASH.sector + FLASH.page);
    expect(header.every((byte) => byte === 0)).toBe(true);
    bench.powerOn();
    bench.idle();
    expect(bench.hello()).toMatchObject({ slot: 3, retired: 1 << 2, slotNote: SLOT_NOTES.ok });
    for (const load of [third, first, second]) store(bench, load);
    expect(bench.hello().slot).toBe(3);
    expect(bench.holds(second.block)).toBe(true);
  });

  test("after another: with none left the load is refused, the settings stay, and better days are used", () => {
    const stuck = [1, 2, 3].map((slot) => ({ slot, high: true }));
    const bench = benchWith({ held: { load: first, sequence: 4, number: NUMBER }, stuck });
    bench.idle();
    bench.send(second);
    expect(() => bench.commit(second)).toThrow("no answer");
    expect(bench.hello()).toMatchObject({ slot: 1, settingsSequence: 4 });
    expect(bench.holds(first.block)).toBe(true);
    bench.powerOn();
    expect(bench.hello()).toMatchObject({ slot: 1, settingsSequence: 4 });
    bench.send(second);
    expect(() => bench.commit(second)).toThrow("no answer");
    bench.flash.stuck.clear();
    expect(store(bench, LAST)).toBe(5);
    bench.powerOn();
    expect(bench.holds(LAST.block)).toBe(true);
  });

  test("that turns bad right after the first load leaves those settings whole", () => {
    const bench = benchWith({});
    bench.idle();
    store(bench, first);
    bench.flash.bytes.fill(0, SLOTS_FROM + FLASH.sector, SLOTS_FROM + 2 * FLASH.sector);
    bench.flash.stuck.set(SLOTS_FROM + FLASH.sector + FLASH.page + 3, { bits: 0xff, high: false });
    bench.idle();
    bench.powerOn();
    expect(bench.hello()).toMatchObject({ slot: 1, settingsSequence: 1, boardNumber: first.number });
    expect(bench.holds(first.block)).toBe(true);
  });
});

describe("the number of the board", () => {
  test("is given once, by the first load that offers one; it stays over loads, restarts and a slot that wears out", () => {
    const bench = benchWith({});
    expect(bench.hello().boardNumber).toBe(0);
    store(bench, loadOf(third.block, 9));
    expect(bench.hello().boardNumber).toBe(0);
    for (const load of [first, second, third, LAST]) {
      store(bench, load);
      expect(bench.hello().boardNumber).toBe(first.number);
      bench.powerOn();
      bench.idle();
      expect(bench.hello().boardNumber).toBe(first.number);
    }
    bench.flash.stuck.set(SLOTS_FROM + FLASH.sector + FLASH.page + 3, { bits: 0xff, high: true });
    store(bench, second);
    expect(bench.hello()).toMatchObject({ slot: 3, retired: 1 << 2, boardNumber: first.number });
  });

  test("is not given by a load that could not be stored", () => {
    const stuck = [0, 1, 2, 3].map((slot) => ({ slot, high: true }));
    const bench = benchWith({ stuck });
    bench.send(first);
    expect(() => bench.commit(first)).toThrow("no answer");
    expect(bench.hello()).toMatchObject({ slot: 0, boardNumber: 0 });
  });

  test("has 24 bits; more than those do not reach the slots that are retired", () => {
    const bench = benchWith({});
    store(bench, loadOf(first.block, 9, 0xff_123456));
    expect(bench.hello()).toMatchObject({ retired: 0, boardNumber: 0x123456 });
  });

  test("is gone with the last whole slot, and another one is taken then", () => {
    const bench = benchWith({ held: { load: first, sequence: 4, number: NUMBER } });
    bench.flash.bytes.fill(0, SLOTS_FROM, SLOTS_FROM + 8);
    bench.powerOn();
    expect(bench.hello()).toMatchObject({ slot: 0, slotNote: SLOT_NOTES.damaged, boardNumber: 0 });
    store(bench, second);
    expect(bench.hello().boardNumber).toBe(second.number);
  });
});

describe("a bit that reads by chance", () => {
  test("is seen by three readings in seven of eight starts: the older settings are taken", () => {
    const bench = benchWith({ held: { load: first, sequence: 4, number: NUMBER } });
    const at = SLOTS_FROM + FLASH.sector;
    bench.flash.bytes.set(slotBytes(second.block, 5), at);
    const weak = new Uint8Array(FLASH.page);
    weak[40] = 1;
    const contents = bench.flash.bytes.slice(at + FLASH.page, at + 2 * FLASH.page);
    bench.flash.tear(at + FLASH.page, { contents, weak });
    const STARTS = 2000;
    let newer = 0;
    for (let n = 0; n < STARTS; n++) {
      bench.powerOn();
      if (bench.hello().settingsSequence === 5) newer++;
    }
    expect(newer / STARTS).toBeGreaterThan(0.09);
    expect(newer / STARTS).toBeLessThan(0.16);
  });
});

describe("settings of another schema", () => {
  const foreign = slotBytes(third.block, 5, { fingerprint: 0x1234_5678, number: NUMBER });

  test("are not in force, and stay until others are", () => {
    const bench = benchWith({ foreign });
    bench.idle();
    bench.powerOn();
    bench.idle();
    expect(bench.hello()).toMatchObject({
      slot: 0,
      settingsCrc: 0,
      slotNote: SLOT_NOTES.wrongSchema,
      boardNumber: NUMBER,
    });
    expect(bench.save().bytes.subarray(0, FLASH.sector)).toEqual(foreign);
    expect(store(bench, first)).toBe(6);
    expect(bench.hello().boardNumber).toBe(NUMBER);
    bench.idle();
    expect(
      bench
        .save()
        .bytes.subarray(0, FLASH.sector)
        .every((byte) => byte === 0xff),
    ).toBe(true);
  });
});
