// Runs recorded by a car in front of the core and stored in the ring of flash: how many are kept, what is overwritten, what
// a bad page costs.
import { describe, expect, test } from "vitest";
import type { MemoryFlash } from "#host/bench/core/flash.ts";
import { SECTOR_PAGES } from "#host/logbook/find-runs.ts";
import { ticksOf } from "#host/logbook/find-ticks.ts";
import { listRuns, pullRun } from "#host/logbook/runs.ts";
import { decodeTicksPage } from "#host/logbook/ticks-page.ts";
import { piecesOf } from "#host/replay/exact/pieces.ts";
import { LOG_PAGE } from "#shared-schema/link/columns.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";
import { heavyCar, heavySettings, launchHeavy, USUAL_PULSES } from "../../bench/heavy-car.ts";
import { Car } from "../../oracle/car.ts";
import { CoreRefused } from "../../oracle/device.ts";
import { arm, GOOD_POINT, modeOf, smallSettings, store, ticks } from "../../oracle/stand.ts";
import { coreOn } from "../../support/core.ts";
import { FailingFlash } from "../../support/failing-flash.ts";
import { FlashLog, LOG_PAGES } from "../../support/flash-log.ts";
import { noisyCodes } from "../../support/noisy-codes.ts";
import { Random } from "../../support/random.ts";

const AFTER_MS = 600;
const FLOWING_MS = 4_000;
const RUN_MS = 29_600;
/** So much is driven before, and stored after. */
const LAUNCH_MS = 1_500;
const LIFT_EVERY_MS = 3_700;
const LIFTED_MS = 300;
const settings = smallSettings();

/** A car, its core and its log. */
class Stand {
  readonly car: Car;
  readonly log: FlashLog;

  constructor(flash: MemoryFlash = new FailingFlash(new Random(1))) {
    const rig = coreOn(flash);
    rig.start();
    store(rig, settings);
    this.car = new Car(rig, settings, GOOD_POINT, 1_000_000);
    this.log = new FlashLog(rig);
  }

  /** Arms, runs for `ms` and flows in the first seconds, and switches off; the run waits in memory. */
  drive(ms: number): void {
    arm(this.car);
    ticks(this.car, Math.min(ms, FLOWING_MS));
    this.car.set("throttle", false);
    ticks(this.car, Math.max(0, ms - FLOWING_MS));
    this.car.set("arm", false);
    ticks(this.car, AFTER_MS);
  }

  /** The same, and lets it be stored. */
  run(ms: number): void {
    this.drive(ms);
    this.log.settle();
  }

  runs() {
    return listRuns(this.log, this.log.now());
  }
}

/** Page of the log as an offset in flash, in a byte that a page of any run has bits to clear in. */
const inPage = (page: number): number => FLASH.logStart + page * FLASH.page + 1;

/** A run of half a minute of the heaviest car, lifted now and then, that waits in memory to be stored; with noise at every channel. */
function heaviestRun(codes: number): Car {
  const car = heavyCar(heavySettings(USUAL_PULSES), ({ rig }) => {
    rig.keepsTicks = true;
    noisyCodes(rig, codes, new Random(codes));
  });
  launchHeavy(car);
  for (let ms = 0; ms < RUN_MS; ms += LIFT_EVERY_MS) {
    ticks(car, LIFT_EVERY_MS - LIFTED_MS);
    const press = car.lift();
    ticks(car, LIFTED_MS);
    press();
  }
  car.set("arm", false);
  ticks(car, AFTER_MS);
  return car;
}

describe("the run log", () => {
  test.each([
    [1, 6],
    [2, 3],
  ] as const)(
    "of the heaviest car, with noise of %i codes, keeps all of the last %i runs of 30 s, and seventeen more as records, with a restart after each",
    async (codes, exact) => {
      const car = heaviestRun(codes);
      const { rig } = car;
      const log = new FlashLog(rig);
      const memory = new Uint8Array(rig.core.memory.buffer);
      const waiting = memory.slice();
      const RUNS = exact + 17 + 3;
      for (let n = 0; n < RUNS; n++) {
        memory.set(waiting);
        rig.start();
        log.settle();
      }
      rig.start();
      const runs = await listRuns(log, log.now());
      const whole = runs.filter(({ complete, seconds }) => complete && seconds! > 30).map(({ run }) => run);
      const kept: number[] = [];
      let bytes = 0;
      for (const run of runs.map((one) => one.run)) {
        const pages = await ticksOf(log, run);
        const heads = pages.map((page) => decodeTicksPage(page)!);
        if (!heads[0]?.first || !heads.at(-1)!.last || heads.at(-1)!.number + 1 < heads.length) continue;
        kept.push(run);
        bytes = pages.length * LOG_PAGE.bytes;
      }
      const newest = piecesOf(await ticksOf(log, RUNS)).flatMap((piece) => piece.ticks);
      expect(newest.length).toBeGreaterThan(RUN_MS + LAUNCH_MS);
      process.stdout.write(
        `heaviest car, noise of ${codes} codes at every channel: ${Math.round(bytes / 30)} bytes a second in flash; ${kept.length} runs of 30 s whole, ${whole.length} as records\n`,
      );
      const last = (count: number): number[] => Array.from({ length: count }, (_, i) => RUNS - count + 1 + i);
      expect(whole).toEqual(expect.arrayContaining(last(exact + 17)));
      expect(kept).toEqual(expect.arrayContaining(last(exact)));
    },
  );

  test("a run shorter than half a minute is kept from its arming to half a second after its end", async () => {
    const stand = new Stand();
    stand.run(2_000);
    const run = await pullRun(stand.log, stand.log.now(), 1);
    expect(run.complete).toBe(true);
    expect(run.records[0]).toMatchObject({ mode: "arming" });
    expect(run.records.at(-1)).toMatchObject({ mode: "off", trip: "" });
    const times = run.records.map(({ time }) => Number(time));
    expect(times).toEqual([...times].sort((a, b) => a - b));
    expect(Math.max(...run.records.map(({ engineSpeed }) => Number(engineSpeed)))).toBe(5000);
    expect(run.records.some(({ mode, share1 }) => mode === "flowing" && Number(share1) > 0)).toBe(true);
  });

  test("many short runs in few sectors are told apart", async () => {
    const stand = new Stand();
    for (let n = 0; n < 12; n++) stand.run(50 * n);
    expect((await stand.runs()).map(({ run, complete }) => [run, complete])).toEqual(
      Array.from({ length: 12 }, (_, n) => [n + 1, true]),
    );
  });

  test("a run that ends in a lockout is stored at once, before the power goes; nothing else is taken meanwhile", async () => {
    const stand = new Stand();
    arm(stand.car);
    ticks(stand.car, 500);
    stand.car.wiring.stuckDrainsMv.set(0, 0);
    ticks(stand.car, AFTER_MS + 500);
    expect(modeOf(stand.car)).toBe("locked");
    stand.log.settle();
    expect(() => stand.log.erase()).toThrow(CoreRefused);
    stand.car.rig.start();
    const run = await pullRun(stand.log, stand.log.now(), 1);
    expect(run.complete).toBe(true);
    expect(run.records.at(-1)).toMatchObject({ mode: "locked", trip: "DRIVER" });
  });

  test("an erase leaves it empty, and what runs after it is run 1 again", async () => {
    const stand = new Stand();
    stand.run(500);
    stand.log.erase();
    stand.log.settle();
    expect(await stand.runs()).toEqual([]);
    expect(stand.log.now()).toMatchObject({ sequence: 0, next: 0, run: 0 });
    expect(
      stand.car.rig.flash.bytes.subarray(FLASH.logStart, FLASH.logEnd).every((byte) => byte === 0xff),
    ).toBe(true);
    stand.run(500);
    expect((await stand.runs()).map(({ run }) => run)).toEqual([1]);
  });

  test("an erase takes along the run that waits in memory", async () => {
    const stand = new Stand();
    stand.drive(500);
    stand.log.erase();
    stand.log.settle();
    expect(stand.log.now()).toMatchObject({ run: 0, waiting: 0, busy: "no" });
    expect(await stand.runs()).toEqual([]);
  });
});

test("each page that is stored is one less that waits, until none does", () => {
  const stand = new Stand();
  stand.drive(2000);
  const told = [stand.log.now().waiting];
  for (let look = 0; look < 500 && told.at(-1)! > 0; look++) {
    stand.car.rig.idle();
    told.push(stand.log.now().waiting);
  }
  expect(told[0]).toBeGreaterThan(3);
  expect(told.at(-1)).toBe(0);
  for (let i = 1; i < told.length; i++) expect([0, 1]).toContain(told[i - 1]! - told[i]!);
});

describe("a bad page", () => {
  test.each([
    ["in the middle of a sector", 5],
    ["at the beginning of a sector", 0],
    ["at the beginning of the next sector", 16],
  ])("%s is passed over, the run is whole, also after a restart", async (_, page) => {
    const flash = new FailingFlash(new Random(1));
    flash.stuck.set(inPage(page), { bits: 0xff, high: true });
    const stand = new Stand(flash);
    stand.run(4_000);
    const expected = { run: 1, complete: true };
    expect(await stand.runs()).toMatchObject([expected]);
    const { next } = stand.log.now();
    stand.car.rig.start();
    expect(stand.log.now().next).toBe(SECTOR_PAGES * Math.ceil(next / SECTOR_PAGES));
    expect(await pullRun(stand.log, stand.log.now(), 1)).toMatchObject({ ...expected, lostPages: 0 });
  });

  test("that goes bad later is left out and counted", async () => {
    const stand = new Stand();
    stand.run(4_000);
    const whole = await pullRun(stand.log, stand.log.now(), 1);
    stand.car.rig.flash.bytes[inPage(2) + 30]! ^= 4;
    const run = await pullRun(stand.log, stand.log.now(), 1);
    expect(run).toMatchObject({ lostPages: 1, complete: true });
    const lost = whole.records.length - run.records.length;
    const from = run.records.findIndex((record, i) => record.time !== whole.records[i]!.time);
    expect(lost).toBeGreaterThan(8);
    expect(run.records).toEqual([...whole.records.slice(0, from), ...whole.records.slice(from + lost)]);
  });

  test("in many sectors costs no run that meets few enough of them itself", async () => {
    const flash = new FailingFlash(new Random(1));
    const BAD = 10;
    const stand = new Stand(flash);
    for (let run = 1; run <= 4; run++) {
      const { next } = stand.log.now();
      const sector = Math.ceil(next / SECTOR_PAGES);
      const bad = [next, ...Array.from({ length: BAD }, (_, n) => (sector + n) * SECTOR_PAGES)];
      for (const page of bad) flash.stuck.set(inPage(page), { bits: 0xff, high: true });
      stand.run(200);
      expect((await stand.runs()).find((one) => one.run === run)).toMatchObject({ complete: true });
    }
  });

  test("a chip on which no page can be written ends the run instead of wearing out", () => {
    const flash = new FailingFlash(new Random(1));
    for (let page = 0; page < LOG_PAGES; page++) flash.stuck.set(inPage(page), { bits: 0xff, high: true });
    const stand = new Stand(flash);
    let erases = 0;
    flash.onOperation = ({ kind, offset }) => {
      if (kind === "erase" && offset < FLASH.logEnd) erases++;
      return undefined;
    };
    stand.run(500);
    expect(stand.log.now().busy).toBe("no");
    expect(erases).toBeLessThan(20);
  });
});
