// Each byte of an answer is written for it: nothing in it is left from the answer before, and lengths are taken to their limits.
import { describe, expect, test } from "vitest";
import { REFUSALS } from "#shared-schema/link/messages.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";
import { type Document, pack } from "#shared-schema/settings/pack.ts";
import { CoreRefused, Device } from "../../oracle/device.ts";
import { arm, smallSettings, standingCar, ticks } from "../../oracle/stand.ts";
import { freshCore } from "../../support/core.ts";

/** By docs/link.md: the most bytes of the log, and of the settings, in one answer. */
const MOST_LOG = 508;

/** A car with a run that waits, whose last answer was all of one byte, but for its head. */
function answeredWith(byte: number): Device {
  const car = arm(standingCar(smallSettings()));
  ticks(car, 300);
  car.set("arm", false);
  ticks(car, 600);
  car.rig.flash.bytes.fill(byte, FLASH.logStart, FLASH.logStart + MOST_LOG);
  const device = new Device(car.rig);
  device.ask("logRead", { offset: 0, length: MOST_LOG });
  return device;
}

test.each([
  ["hello", {}],
  ["status", {}],
  ["logInfo", {}],
  ["read", { offset: 2, length: 60 }],
  ["logHeads", { page: 0x101, stride: 1, count: 2 }],
  ["service", { on: 1 }],
  ["restart", { target: 1 }],
  ["baud", { baud: 115_200 }],
  ["logErase", {}],
])("%s is answered alike, whatever was answered before", (name, values) => {
  const [one, other] = [0x00, 0xff].map((byte) => answeredWith(byte).ask(name, values));
  expect(one).toEqual(other);
});

function reasonOf(ask: () => unknown): unknown {
  try {
    return void ask();
  } catch (error) {
    if (error instanceof CoreRefused) return error.refusal.reason;
    throw error;
  }
}

describe("settings are read", () => {
  const bytes = 2 * pack(smallSettings() as unknown as Document).length;

  test("in pieces up to the longest, and not beyond their end", () => {
    const device = answeredWith(0);
    const whole = device.read(bytes);
    const MOST = 510;
    expect(device.ask("read", { offset: 0, length: MOST }).tail).toEqual(whole.subarray(0, MOST));
    expect(reasonOf(() => device.ask("read", { offset: 0, length: MOST + 1 }))).toBe(REFUSALS.badValue);
    expect(device.ask("read", { offset: bytes - 1, length: 1 }).tail).toEqual(whole.subarray(-1));
    expect(reasonOf(() => device.ask("read", { offset: bytes - 1, length: 2 }))).toBe(REFUSALS.badValue);
  });

  test("only when there are any", () => {
    const rig = freshCore();
    rig.start();
    const device = new Device(rig);
    expect(reasonOf(() => device.ask("read", { offset: 0, length: 2 }))).toBe(REFUSALS.noSettings);
  });
});

test("the time that the main loop took is told as it came in", () => {
  const { rig } = answeredWith(0);
  rig.inputs.set("loopUs", 777);
  rig.core.tick(5_000_000);
  expect(new Device(rig).ask("status").values.loopUs).toBe(777);
});

test("a refusal of settings names its rule, the next one names none", () => {
  const device = answeredWith(0);
  const words = pack(smallSettings() as unknown as Document);
  const wrong = [...words.keys()]
    .flatMap((at) => [0, 1, 0x7fff].map((value) => words.with(at, value)))
    .find((block) => (device.rig.judge(block)?.rule ?? 0) > 0)!;
  const { word, rule } = device.rig.judge(wrong)!;
  const refused = (ask: () => unknown): unknown => {
    try {
      return ask();
    } catch (error) {
      return (error as CoreRefused).refusal;
    }
  };
  const id = device.transfer(wrong);
  expect(refused(() => device.ask("writeCommit", { id, boardNumber: 0 }))).toMatchObject({ word, rule });
  expect(refused(() => device.ask("restart", { target: 9 }))).toMatchObject({ word: 0, rule: 0 });
});
