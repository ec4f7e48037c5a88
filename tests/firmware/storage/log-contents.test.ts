// What flash holds of a run is what was recorded of it, laid out as docs/storage.md has it: written here without the core's
// packing or the host's reading, for runs with all sorts of events, with ticks that come unevenly, and longer than memory holds.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { crc32c } from "#host/codec/crc32c.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";
import { type Document, pack, toBytes } from "#shared-schema/settings/pack.ts";
import { heavyCar, heavySettings, launchHeavy, USUAL_PULSES } from "../../bench/heavy-car.ts";
import type { Car } from "../../oracle/car.ts";
import { Device } from "../../oracle/device.ts";
import { arm, modeOf, smallSettings, standingCar, ticks } from "../../oracle/stand.ts";
import { runs as effort } from "../../support/effort.ts";
import { FlashLog } from "../../support/flash-log.ts";
import { noisyCodes } from "../../support/noisy-codes.ts";
import { Random } from "../../support/random.ts";
import { columnsOf } from "../../support/record-ring.ts";
import { writtenRuns } from "../../support/recorded-runs.ts";

const AFTER_MS = 600;
const LATEST_TICK_US = 20_000;
/** By docs/storage.md: where the records of a page lie, and bits of its flags. */
const [FROM, TO] = [16, 250];
const [FIRST, LAST] = [1, 2];
const [RECORDS, TICKS] = [0x474c, 0x544c];
const HELD_PAGES = 605;

/** A page as it lies in flash. */
interface Stored {
  readonly bytes: Buffer;
  readonly run: number;
  readonly sequence: number;
  readonly place: number;
}

/** Good pages of a kind in the order of their sequence numbers, each with its place in its part. */
function storedIn(car: Car, magic: number): Stored[] {
  const [from, to] =
    magic === RECORDS ? [FLASH.logStart, FLASH.ticksStart] : [FLASH.ticksStart, FLASH.logEnd];
  const { bytes: all } = car.rig.flash;
  const pages: Stored[] = [];
  for (let at: number = from; at < to; at += FLASH.page) {
    const bytes = Buffer.from(all.subarray(at, at + FLASH.page));
    if (bytes.readUInt16LE(0) !== magic || bytes.readUInt32LE(252) !== crc32c(bytes.subarray(0, 252)))
      continue;
    const place = (at - from) / FLASH.page;
    pages.push({ bytes, run: bytes.readUInt32LE(4), sequence: bytes.readUInt32LE(8), place });
  }
  return pages.sort((a, b) => a.sequence - b.sequence);
}

/** A record after another: a mask of the words that are others than expected, and those. */
function packedAfter(before: Uint8Array, record: Uint8Array): number[] {
  const [was, is] = [Buffer.from(before), Buffer.from(record)];
  const words: number[] = [];
  let mask = 0;
  for (let n = 0; 2 * n < record.length; n++) {
    const expected = n === 0 ? (was.readUInt16LE(0) + 1) & 0xffff : was.readUInt16LE(2 * n);
    if (is.readUInt16LE(2 * n) === expected) continue;
    mask |= 1 << n;
    words.push(record[2 * n]!, record[2 * n + 1]!);
  }
  return [mask & 0xff, mask >> 8, ...words];
}

/** Contents of the pages that records fill: each page begins with a whole one, and is as full as it can be. */
function contentsOf(records: readonly Uint8Array[]): { count: number; bytes: Buffer }[] {
  const pages: { count: number; bytes: number[] }[] = [];
  records.forEach((record, i) => {
    const more = i === 0 ? [] : packedAfter(records[i - 1]!, record);
    const page = pages.at(-1);
    if (page && page.bytes.length + more.length <= TO - FROM) {
      page.bytes.push(...more);
      page.count++;
    } else pages.push({ count: 1, bytes: [...record] });
  });
  return pages.map(({ count, bytes }) => ({
    count,
    bytes: Buffer.concat([Buffer.from(bytes), Buffer.alloc(TO - FROM - bytes.length, 0xff)]),
  }));
}

/** The pages of a run hold the last of its records, all of them when `whole`, and say what they are. */
function expectStored(
  car: Car,
  run: number,
  records: readonly Uint8Array[],
  settingsCrc: number,
  whole = true,
): void {
  const pages = storedIn(car, RECORDS).filter((page) => page.run === run);
  const contents = contentsOf(records);
  if (whole) expect(pages).toHaveLength(contents.length);
  const last = contents.slice(-pages.length);
  pages.forEach(({ bytes }, n) => {
    expect(bytes.subarray(FROM, TO).equals(last[n]!.bytes), `page ${n} of run ${run}`).toBe(true);
    expect(bytes.readUInt8(2)).toBe(last[n]!.count);
    expect(bytes.readUInt8(3)).toBe((n === 0 ? FIRST : 0) | (n === pages.length - 1 ? LAST : 0));
    expect(bytes.readUInt32LE(12)).toBe(settingsCrc);
    expect(bytes.readUInt16LE(250)).toBe(n);
  });
}

/** Records follow each other without a gap from time 0 on, and the last is half a second after the end of the run. */
function expectNoGap(records: readonly Uint8Array[]): void {
  const columns = records.map(columnsOf);
  const times = columns.map(({ time }) => time!);
  const late = LATEST_TICK_US / 10_000;
  expect(times[0]).toBe(0);
  times.slice(1).forEach((time, i) => {
    expect(time).toBeGreaterThanOrEqual(times[i]!);
    expect(time - times[i]!).toBeLessThanOrEqual(1 + late);
  });
  const end = columns.findIndex(({ mode }) => mode === 0);
  expect(times.at(-1)! - times[end]!).toBeGreaterThanOrEqual(50 - late);
  expect(times.at(-1)! - times[end]!).toBeLessThanOrEqual(50 + late);
}

const crcOf = (settings: unknown): number => crc32c(toBytes(pack(settings as Document)));

/** What may happen in a run. */
const EVENTS: Readonly<Record<string, (car: Car) => void>> = {
  lift: (car) => car.set("throttle", false),
  press: (car) => car.set("throttle", true),
  dip: (car) => {
    car.point.batteryMv = 9_800;
  },
  charge: (car) => {
    car.point.batteryMv = 13_900;
  },
  faster: (car) => {
    car.point.rpm += 300;
  },
  late: (car) => car.tick(LATEST_TICK_US),
};
const event = fc.record({
  name: fc.constantFrom(...Object.keys(EVENTS)),
  ms: fc.integer({ min: 1, max: 120 }),
  us: fc.constantFrom(1000, 1000, 930, 1080),
});

function drive(car: Car, events: readonly { name: string; ms: number; us: number }[]): void {
  car.point.rpm = 4000;
  car.point.batteryMv = 12_000;
  arm(car);
  for (const { name, ms, us } of events) {
    EVENTS[name]!(car);
    ticks(car, ms, us);
  }
  car.set("arm", false);
  ticks(car, AFTER_MS);
}

describe("a stored run", () => {
  const settings = smallSettings();

  test.prop([fc.array(fc.array(event, { maxLength: 12 }), { minLength: 1, maxLength: 3 })], effort(40))(
    "holds each record that was written, and no other, in as few bytes as docs/storage.md allows",
    (courses) => {
      const car = standingCar(settings);
      const written = writtenRuns(car);
      const log = new FlashLog(car.rig);
      for (const course of courses) {
        drive(car, course);
        log.settle();
      }
      expect(written).toHaveLength(courses.length);
      written.forEach((records, i) => {
        expectNoGap(records);
        expectStored(car, i + 1, records, crcOf(settings));
      });
      storedIn(car, RECORDS).forEach(({ sequence, place }) => {
        expect(sequence).toBe(place);
      });
    },
  );

  test("says by which settings it was driven, and leaves no trace in the header of settings stored after it", () => {
    const car = standingCar(settings);
    const written = writtenRuns(car);
    const log = new FlashLog(car.rig);
    drive(car, []);
    log.settle();
    const other = smallSettings((s) => {
      s.flow.frequencyHz = 25;
    });
    const { slot } = new Device(car.rig).store(pack(other as unknown as Document));
    const header = FLASH.slotA + (Number(slot) - 1) * FLASH.sector;
    const rest = car.rig.flash.bytes.subarray(header + 32, header + FLASH.page);
    expect(rest.every((byte) => byte === 0xff)).toBe(true);
    drive(car, []);
    log.settle();
    expectStored(car, 1, written[0]!, crcOf(settings));
    expectStored(car, 2, written[1]!, crcOf(other));
  });

  test("keeps its ticks in sectors of their own, and of a run longer than memory holds the newest pages", () => {
    const heavy = heavySettings(USUAL_PULSES);
    const car = heavyCar(heavy, ({ rig }) => {
      rig.keepsTicks = true;
      noisyCodes(rig, 25, new Random(2));
    });
    const log = new FlashLog(car.rig);
    const written = writtenRuns(car);
    for (const ms of [0, 20_000, 0]) {
      launchHeavy(car);
      ticks(car, ms);
      car.set("arm", false);
      ticks(car, AFTER_MS);
      log.settle();
    }
    expect(modeOf(car)).toBe("off");
    written.forEach((records, i) => {
      const run = i + 1;
      expectStored(car, run, records, crcOf(heavy), run !== 2);
      const pages = storedIn(car, TICKS).filter((page) => page.run === run);
      expect(pages[0]!.place % 16).toBe(0);
      expect(pages.map(({ bytes }) => bytes.readUInt16LE(250))).toEqual([...pages.keys()]);
      expect(pages.map(({ bytes }) => bytes.readUInt8(3) & (FIRST | LAST))).toEqual(
        pages.map((_, n) => (n === 0 ? FIRST : 0) | (n === pages.length - 1 ? LAST : 0)),
      );
    });
    const all = [RECORDS, TICKS].map((magic) => storedIn(car, magic).filter(({ run }) => run === 2).length);
    expect(all[0]! + all[1]!).toBe(HELD_PAGES);
  });
});
