// What each request gets back, value by value: speeds, restarts, service, refusals, and the stored log as it lies in flash.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { placeFrom } from "#host/link/log.ts";
import { REFUSALS } from "#shared-schema/link/messages.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";
import { MODES } from "#shared-schema/model/interlocks.ts";
import { type Document, pack } from "#shared-schema/settings/pack.ts";
import type { Car } from "../../oracle/car.ts";
import { CoreRefused, Device, message } from "../../oracle/device.ts";
import { arm, flowingCar, modeOf, smallSettings, standingCar, ticks } from "../../oracle/stand.ts";

const LOG_PAGES = (FLASH.ticksStart - FLASH.logStart) / FLASH.page;
const ALL_PAGES = (FLASH.logEnd - FLASH.logStart) / FLASH.page;
const LOG_BYTES = FLASH.logEnd - FLASH.logStart;

/** The whole refusal of a request; undefined when it is answered. */
function refusal(device: Device, ...ask: Parameters<Device["ask"]>): unknown {
  try {
    device.ask(...ask);
    return undefined;
  } catch (error) {
    if (error instanceof CoreRefused) return error.refusal;
    throw error;
  }
}

const plainly = (name: string, reason: number): unknown => ({
  kind: message(name).kind,
  reason,
  word: 0,
  rule: 0,
});
const bad = (name: string): unknown => plainly(name, REFUSALS.badValue);
const standing = (): Device => new Device(standingCar(smallSettings()).rig);

describe("a change of speed", () => {
  test.each([9600, 115_200, 921_600])("to %i is answered and asked of the board", (baud) => {
    const device = standing();
    expect(device.ask("baud", { baud }).values).toEqual({ baud });
    expect(device.rig.requests).toEqual([{ kind: "baud", value: baud }]);
  });

  test.each([0, 9599, 921_601, 2 ** 32 - 1])("to %i is refused", (baud) => {
    const device = standing();
    expect(refusal(device, "baud", { baud })).toEqual(bad("baud"));
    expect(device.rig.requests).toEqual([]);
  });
});

describe("a restart", () => {
  test.each([0, 1])("into %i is answered and asked of the board", (target) => {
    const device = standing();
    expect(device.ask("restart", { target }).values).toEqual({ target });
    expect(device.rig.requests).toEqual([{ kind: "restart", value: target }]);
  });

  test("into anything else is refused", () => {
    const device = standing();
    expect(refusal(device, "restart", { target: 2 })).toEqual(bad("restart"));
    expect(device.rig.requests).toEqual([]);
  });
});

describe("service", () => {
  const mode = (name: string): unknown => ({ mode: MODES.indexOf(name as (typeof MODES)[number]) });

  test("is entered and left; then the arm switch must be seen off anew", () => {
    const car = standingCar(smallSettings());
    ticks(car, 300);
    const device = new Device(car.rig);
    expect(device.ask("service", { on: 1 }).values).toEqual(mode("service"));
    ticks(car, 300);
    car.set("arm", true);
    ticks(car, 100);
    expect(modeOf(car)).toBe("service");
    expect(device.ask("service", { on: 0 }).values).toEqual(mode("off"));
    ticks(car, 600);
    expect(modeOf(car)).toBe("off");
    arm(car);
  });

  test("left with the arm switch off, it does not count as off before", () => {
    const car = standingCar(smallSettings());
    ticks(car, 300);
    const device = new Device(car.rig);
    device.ask("service", { on: 1 });
    device.ask("service", { on: 0 });
    ticks(car, 150);
    car.set("arm", true);
    ticks(car, 100);
    expect(modeOf(car)).toBe("off");
  });

  test("is refused for any other value, and while not off", () => {
    const device = standing();
    expect(refusal(device, "service", { on: 2 })).toEqual(bad("service"));
    const flowing = new Device(flowingCar(smallSettings()).rig);
    expect(refusal(flowing, "service", { on: 1 })).toEqual(plainly("service", REFUSALS.notOff));
  });
});

describe("a refusal", () => {
  test("names word and rule of bad settings, and of nothing else", () => {
    const device = standing();
    const words = pack(smallSettings() as unknown as Document);
    const place = words.indexOf(smallSettings().battery.lowestMv);
    words[place] = 1;
    const id = device.transfer(words);
    expect(refusal(device, "writeCommit", { id, boardNumber: 0 })).toEqual({
      kind: message("writeCommit").kind,
      reason: REFUSALS.badSettings,
      word: place,
      rule: 0,
    });
    expect(refusal(device, "restart", { target: 9 })).toEqual(bad("restart"));
  });
});

describe("the stored log", () => {
  /** A car with a stored run of two seconds. */
  function stored(): Car {
    const car = arm(standingCar(smallSettings()));
    ticks(car, 2000);
    car.set("arm", false);
    ticks(car, 600);
    for (let i = 0; i < 20_000; i++) car.rig.core.serve(0);
    return car;
  }
  const car = stored();
  const device = new Device(car.rig);
  const inFlash = (page: number): Uint8Array =>
    car.rig.flash.bytes.slice(FLASH.logStart + page * FLASH.page, FLASH.logStart + (page + 1) * FLASH.page);

  test("has the run", () => {
    const { values } = device.ask("logInfo");
    expect(values).toMatchObject({ pages: LOG_PAGES, busy: 0, waiting: 0 });
    expect(values.sequence).toBeGreaterThan(3);
    expect(values.next).toBe(Number(values.sequence) % LOG_PAGES);
  });

  test.prop([
    fc.integer({ min: 0, max: ALL_PAGES - 1 }),
    fc.oneof(fc.integer({ min: 1, max: 3 }), fc.integer({ min: 1, max: 4096 })),
    fc.integer({ min: 1, max: 31 }),
  ])("heads are those in flash, a stride apart, wrapping at the end", (page, stride, count) => {
    const { values, tail } = device.ask("logHeads", { page, stride, count });
    expect(values).toEqual({ page });
    const bytes = tail.length / count;
    for (let i = 0; i < count; i++)
      expect(tail.slice(i * bytes, (i + 1) * bytes)).toEqual(
        inFlash(placeFrom(page, i * stride)).slice(0, bytes),
      );
  });

  test.each([
    { page: ALL_PAGES, stride: 1, count: 1 },
    { page: 0, stride: 0, count: 1 },
    { page: 0, stride: 4097, count: 1 },
    { page: 0, stride: 1, count: 0 },
    { page: 0, stride: 1, count: 32 },
  ])("heads of %o are refused", (ask) => {
    expect(refusal(device, "logHeads", ask)).toEqual(bad("logHeads"));
  });

  test.prop([fc.integer({ min: 0, max: 40 * FLASH.page }), fc.integer({ min: 1, max: 256 })])(
    "any bytes are those in flash",
    (offset, length) => {
      const { values, tail } = device.ask("logRead", { offset, length });
      expect(values).toEqual({ offset });
      const from = FLASH.logStart + offset;
      expect(tail).toEqual(car.rig.flash.bytes.slice(from, from + length));
    },
  );

  test("the last byte can be read, none behind it", () => {
    expect(device.ask("logRead", { offset: LOG_BYTES - 1, length: 1 }).tail).toHaveLength(1);
    expect(refusal(device, "logRead", { offset: LOG_BYTES, length: 1 })).toEqual(bad("logRead"));
    expect(refusal(device, "logRead", { offset: LOG_BYTES - 1, length: 2 })).toEqual(bad("logRead"));
    expect(refusal(device, "logRead", { offset: 0, length: 0 })).toEqual(bad("logRead"));
  });
});
