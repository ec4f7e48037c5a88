// Slots that all but one of their marks speak for, and settings in force that no longer read back: doubt is no settings.
import { describe, expect, test } from "vitest";
import { crc32c } from "#host/codec/crc32c.ts";
import { SLOT_NOTES } from "#shared-schema/link/messages.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";
import { Car } from "../../oracle/car.ts";
import { Device } from "../../oracle/device.ts";
import { arm, GOOD_POINT, OFF_TICKS, store, ticks } from "../../oracle/stand.ts";
import { coreOn } from "../../support/core.ts";
import { FailingFlash } from "../../support/failing-flash.ts";
import { Random } from "../../support/random.ts";
import { put, withPart } from "../core/interlock-moves.ts";
import { isOn } from "../core/output-moves.ts";
import { SLOTS_FROM, StorageBench } from "./bench.ts";
import { LOADS, NUMBER, prepare, type Scenario, slotBytes } from "./scenarios.ts";

const [first, second] = LOADS as [(typeof LOADS)[0], (typeof LOADS)[0]];
/** By docs/storage.md: where a header holds its mark, the length of the settings, and its own check sum; the most of a length. */
const [MARK, LENGTH, CHECK, MOST] = [0, 16, 28, 1024];

/** A slot whose header holds something else, and the right check sum over it. */
function slotWith(at: number, value: number): Uint8Array {
  const bytes = slotBytes(first.block, 4, { number: NUMBER });
  const view = new DataView(bytes.buffer);
  view.setUint32(at, value, true);
  view.setUint32(CHECK, crc32c(bytes.subarray(0, CHECK)), true);
  return bytes;
}

function benchWith(scenario: Partial<Scenario>): StorageBench {
  const bench = new StorageBench();
  prepare(bench, { name: "", loads: [], idle: true, ...scenario });
  bench.powerOn();
  return bench;
}

describe("a slot with right check sums", () => {
  test.each([
    ["another mark", MARK, 0x54534747],
    ["settings that are longer than a slot has room for", LENGTH, MOST + 1],
    ["settings that are longer than all memory", LENGTH, 2 ** 24],
  ])("and %s is not whole", (_, at, value) => {
    const bench = benchWith({ foreign: slotWith(at, value) });
    expect(bench.hello()).toMatchObject({ slot: 0, slotNote: SLOT_NOTES.damaged, boardNumber: 0 });
  });

  test("of another layout, as long as a slot has room for, is kept", () => {
    const foreign = slotBytes(new Uint8Array(MOST).fill(7), 4, { layout: 0x77, number: NUMBER });
    const bench = benchWith({ foreign });
    bench.idle();
    bench.powerOn();
    expect(bench.hello()).toMatchObject({ slot: 0, slotNote: SLOT_NOTES.wrongSchema, boardNumber: NUMBER });
  });
});

test("settings in force that do not read back when they are programmed once more are in force no longer: nothing arms or heats", () => {
  const flash = new FailingFlash(new Random(1));
  const rig = coreOn(flash);
  rig.start();
  const settings = withPart("bottle", (s) => {
    s.heater = { onBelowKpaGauge: 6300, offAtKpaGauge: 6600, longestS: 60 };
  });
  store(rig, settings);
  const car = new Car(rig, settings, GOOD_POINT, 1_000_000);
  put(car, settings, "bottle", 6250);
  car.set("heater", true);
  ticks(car, OFF_TICKS);
  expect(isOn(car, "heater")).toBe(true);
  flash.stuck.set(SLOTS_FROM + FLASH.page, { bits: 0xff, high: true });
  rig.idle();
  expect(new Device(rig).ask("hello").values).toMatchObject({
    slot: 0,
    settingsCrc: 0,
    slotNote: SLOT_NOTES.damaged,
  });
  ticks(car, 10);
  expect(isOn(car, "heater")).toBe(false);
  expect(() => arm(car)).toThrow("off");
});

test("of several slots that do not hold what is written each is said to be retired", () => {
  const stuck = [1, 2].map((slot) => ({ slot, high: true }));
  const bench = benchWith({ held: { load: first, sequence: 4, number: NUMBER }, stuck });
  bench.idle();
  bench.send(second);
  bench.commit(second);
  const both = { slot: 4, retired: (1 << 2) | (1 << 3) };
  expect(bench.hello()).toMatchObject(both);
  bench.powerOn();
  expect(bench.hello()).toMatchObject(both);
});

test("a slot that is not blank after its erase is retired before anything is written to it", () => {
  const stuck = [{ slot: 1, high: false }];
  const bench = benchWith({ held: { load: first, sequence: 4, number: NUMBER }, stuck });
  bench.idle();
  expect(bench.hello()).toMatchObject({ slot: 1, retired: 1 << 2 });
});

test.each([
  ["a slot that is retired", [3], SLOT_NOTES.ok],
  ["a slot that was cut off, and one behind it that is retired", [1, 3], SLOT_NOTES.cutOff],
])("beside the settings in force %s", (_, torn, note) => {
  const bench = new StorageBench();
  prepare(bench, { name: "", loads: [], idle: true });
  bench.flash.bytes.set(slotBytes(first.block, 4, { number: NUMBER, retired: 1 << 4 }), SLOTS_FROM);
  for (const slot of torn) {
    const at = SLOTS_FROM + slot * FLASH.sector;
    bench.flash.bytes.fill(0, at, at + FLASH.page);
  }
  bench.powerOn();
  expect(bench.hello()).toMatchObject({ slot: 1, retired: 1 << 4, slotNote: note });
});
