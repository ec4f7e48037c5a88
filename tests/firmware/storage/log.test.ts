// Runs recorded by a car in front of the core and stored in the ring of flash: how many are kept, what is overwritten, what
// a bad page costs.
import { describe, expect, test } from "vitest";
import type { MemoryFlash } from "#host/bench/core/flash.ts";
import { SECTOR_PAGES } from "#host/logbook/find-runs.ts";
import { listRuns, pullRun } from "#host/logbook/runs.ts";
import { LOG_EVERY_MS } from "#shared-schema/link/columns.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";
import { Car } from "../../oracle/car.ts";
import { CoreRefused } from "../../oracle/device.ts";
import { arm, GOOD_POINT, modeOf, smallSettings, store, ticks } from "../../oracle/stand.ts";
import { coreOn } from "../../support/core.ts";
import { FailingFlash } from "../../support/failing-flash.ts";
import { FlashLog, LOG_PAGES } from "../../support/flash-log.ts";
import { Random } from "../../support/random.ts";

const AFTER_MS = 600;
const FLOWING_MS = 4_000;
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

  /** Arms, runs for `ms` and flows in the first seconds, switches off, and lets the run be stored. */
  run(ms: number): void {
    arm(this.car);
    ticks(this.car, Math.min(ms, FLOWING_MS));
    this.car.set("throttle", false);
    ticks(this.car, Math.max(0, ms - FLOWING_MS));
    this.car.set("arm", false);
    ticks(this.car, AFTER_MS);
    this.log.settle();
  }

  runs() {
    return listRuns(this.log, this.log.now());
  }
}

/** Page of the log as an offset in flash, in a byte that a page of any run has bits to clear in. */
const inPage = (page: number): number => FLASH.logStart + page * FLASH.page + 1;

describe("the run log", () => {
  test("keeps the last 20 runs of 30 s and more, whole, when the ring has gone round, with a restart after each", async () => {
    const stand = new Stand();
    const RUNS = 24;
    for (let n = 0; n < RUNS; n++) {
      stand.run(30_000);
      stand.car.rig.start();
    }
    const runs = await stand.runs();
    process.stdout.write(`${runs.filter(({ complete }) => complete).length} whole runs of 30 s are kept\n`);
    expect(runs.at(-1)!.run).toBe(RUNS);
    expect(runs.slice(-20).every(({ complete, seconds }) => complete && Math.abs(seconds! - 30) < 0.1)).toBe(
      true,
    );
    expect(runs.map(({ run }) => run)).toEqual(runs.map((_, i) => RUNS - runs.length + 1 + i));
    expect(runs[0]!.run).toBeGreaterThan(1);
    const run = await pullRun(stand.log, stand.log.now(), RUNS - 19);
    expect(run.lostPages).toBe(0);
    expect(run.records.length).toBe(30_000 / LOG_EVERY_MS);
  });

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
    expect(
      stand.car.rig.flash.bytes.subarray(FLASH.logStart, FLASH.logEnd).every((byte) => byte === 0xff),
    ).toBe(true);
    stand.run(500);
    expect((await stand.runs()).map(({ run }) => run)).toEqual([1]);
  });
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
    stand.car.rig.flash.bytes[inPage(7) + 30]! ^= 4;
    const run = await pullRun(stand.log, stand.log.now(), 1);
    expect(run).toMatchObject({ lostPages: 1, complete: true });
    expect(run.records).toEqual(whole.records.filter((__, i) => i < 63 || i >= 72));
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
