// Where the pages of runs go: both parts of the log are filled page by page, sector by sector, with a restart after each run.
import { fc, test } from "@fast-check/vitest";
import { expect } from "vitest";
import { crc32c } from "#host/codec/crc32c.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";
import { Car } from "../../oracle/car.ts";
import { arm, GOOD_POINT, smallSettings, store, ticks } from "../../oracle/stand.ts";
import { coreOn } from "../../support/core.ts";
import { runs } from "../../support/effort.ts";
import { FailingFlash, PowerLost } from "../../support/failing-flash.ts";
import { FlashLog } from "../../support/flash-log.ts";
import { Random } from "../../support/random.ts";

const AFTER_MS = 600;
const settings = smallSettings();

/** Pages of a sector, by docs/storage.md. */
const SECTOR = 16;
const nextSector = (page: number): number => SECTOR * Math.ceil(page / SECTOR);

/** Work on one part of the log, in its order. */
class Part {
  /** Pages written, and the first ones of the sectors erased, by their places in the part. */
  pages: number[] = [];
  sectors: number[] = [];
  private readonly from: number;
  private readonly to: number;

  constructor(from: number, to: number) {
    this.from = from;
    this.to = to;
  }

  note(kind: string, offset: number): void {
    if (offset < this.from || offset >= this.to) return;
    const page = (offset - this.from) / FLASH.page;
    if (kind === "erase") this.sectors.push(page);
    else this.pages.push(page);
  }

  /** What a run has written goes on at a page, and each sector was erased before its first page. Where it ends. */
  expectFrom(first: number): number {
    const end = first + this.pages.length;
    expect(this.pages).toEqual(Array.from({ length: this.pages.length }, (_, i) => first + i));
    expect(this.sectors).toEqual(this.pages.filter((page) => page % SECTOR === 0));
    this.pages = [];
    this.sectors = [];
    return end;
  }
}

function drive(car: Car, ms: number): void {
  arm(car);
  ticks(car, ms);
  car.set("arm", false);
  ticks(car, AFTER_MS);
}

/** Runs, some with a restart after them; one that ends with a sector has one always. */
const course = fc.array(
  fc.record({ ms: fc.integer({ min: 0, max: 400 }), restarts: fc.integer({ min: 0, max: 7 }) }),
  {
    minLength: 24,
    maxLength: 24,
  },
);

test.prop([course], runs(12))(
  "runs fill the records from the first page on, and their ticks from the next sector; after a restart both go on in the next sector, and with the next number",
  (course) => {
    const flash = new FailingFlash(new Random(1));
    const rig = coreOn(flash);
    rig.keepsTicks = true;
    rig.start();
    store(rig, settings);
    const log = new FlashLog(rig);
    const parts = [
      new Part(FLASH.logStart, FLASH.ticksStart),
      new Part(FLASH.ticksStart, FLASH.logEnd),
    ] as const;
    flash.onOperation = ({ kind, offset }) => {
      for (const part of parts) part.note(kind, offset);
      return undefined;
    };
    let [record, tick] = [0, 0];
    for (const [n, { ms, restarts }] of course.entries()) {
      drive(new Car(rig, settings, GOOD_POINT, 1_000_000), ms);
      log.settle();
      record = parts[0].expectFrom(record);
      tick = parts[1].expectFrom(nextSector(tick));
      expect(log.now().next).toBe(record);
      if (restarts > 0 && record % SECTOR !== 0) continue;
      rig.start();
      record = nextSector(record);
      expect(log.now()).toMatchObject({ next: record, run: n + 1 });
    }
  },
);

/** A page as it lies in flash, of records or of ticks; empty but for its head. */
function pageOf(magic: number, sequence: number, run: number): Buffer {
  const page = Buffer.alloc(FLASH.page, 0);
  page.writeUInt16LE(magic, 0);
  page.writeUInt32LE(run, 4);
  page.writeUInt32LE(sequence, 8);
  page.writeUInt32LE(crc32c(page.subarray(0, 252)), 252);
  return page;
}

test("behind the last page of each part comes its first one", () => {
  const flash = new FailingFlash(new Random(1));
  const [RECORDS, TICKS] = [256 * SECTOR, 220 * SECTOR];
  const ROUNDS = 3;
  const RUN = 77;
  /** The sectors' first pages tell where the newest is. */
  for (const page of [SECTOR, 1]) {
    flash.bytes.set(pageOf(0x474c, ROUNDS * RECORDS - page, RUN), FLASH.ticksStart - page * FLASH.page);
    flash.bytes.set(pageOf(0x544c, ROUNDS * TICKS - page, RUN), FLASH.logEnd - page * FLASH.page);
  }
  const rig = coreOn(flash);
  rig.keepsTicks = true;
  rig.start();
  store(rig, settings);
  const log = new FlashLog(rig);
  expect(log.now()).toMatchObject({ sequence: ROUNDS * RECORDS, next: 0, run: RUN });
  const parts = [
    new Part(FLASH.logStart, FLASH.ticksStart),
    new Part(FLASH.ticksStart, FLASH.logEnd),
  ] as const;
  flash.onOperation = ({ kind, offset }) => {
    for (const part of parts) part.note(kind, offset);
    return undefined;
  };
  drive(new Car(rig, settings, GOOD_POINT, 1_000_000), 100);
  log.settle();
  for (const part of parts) part.expectFrom(0);
  expect(log.now().run).toBe(RUN + 1);
});

test("a run of which power left one page of records has taken its number: the next has another one", () => {
  const flash = new FailingFlash(new Random(1));
  const rig = coreOn(flash);
  rig.keepsTicks = true;
  rig.start();
  store(rig, settings);
  const log = new FlashLog(rig);
  const RUNS = 3;
  for (let run = 1; run <= RUNS; run++) {
    drive(new Car(rig, settings, GOOD_POINT, 1_000_000), 100);
    if (run < RUNS) log.settle();
  }
  let programmed = 0;
  flash.onOperation = ({ kind, before: contents }) => {
    if (programmed > 0) return { contents, weak: new Uint8Array(contents.length) };
    if (kind === "program") programmed++;
    return undefined;
  };
  expect(() => log.settle()).toThrow(PowerLost);
  flash.onOperation = undefined;
  rig.start();
  expect(log.now().run).toBe(RUNS);
});

test.prop([fc.integer({ min: 1, max: 60 })], runs(400))(
  "the newest page is found wherever it lies in its sector, by its number and that of its run",
  (pages) => {
    const flash = new FailingFlash(new Random(1));
    for (let page = 0; page < pages; page++)
      flash.bytes.set(pageOf(0x474c, page, page + 1), FLASH.logStart + page * FLASH.page);
    const rig = coreOn(flash);
    rig.start();
    expect(new FlashLog(rig).now()).toMatchObject({ run: pages, sequence: nextSector(pages) });
  },
);
