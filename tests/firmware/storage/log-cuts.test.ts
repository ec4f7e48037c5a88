// Power is cut in every flash operation of storing a run: what was stored before it reads back page by page, records and ticks, and the
// next run is stored whole. HEADGATE_CASE reruns one case; CI runs the whole.
import { afterEach, describe, expect, test } from "vitest";
import { findRuns } from "#host/logbook/find-runs.ts";
import { ticksOf } from "#host/logbook/find-ticks.ts";
import { decodePage } from "#host/logbook/page.ts";
import { LOG_PAGE } from "#shared-schema/link/columns.ts";
import { FLASH, PAGE_RING } from "#shared-schema/model/blocks.ts";
import { Car } from "../../oracle/car.ts";
import { arm, GOOD_POINT, smallSettings, store, ticks } from "../../oracle/stand.ts";
import { coreOn } from "../../support/core.ts";
import {
  FailingFlash,
  type Image,
  type Operation,
  PowerLost,
  tearNumbers,
  tearOf,
} from "../../support/failing-flash.ts";
import { FlashLog } from "../../support/flash-log.ts";
import { Random } from "../../support/random.ts";

const RUN_MS = 3_500;
/** No case gets further in either part of the log than this. */
const USED_BYTES = 32 * FLASH.sector;
const PARTS = [FLASH.logStart, FLASH.ticksStart] as const;
const AFTER_MS = 600;
/** How each operation is torn: in CI in many ways, elsewhere in a few. */
const TEARS = process.env.CI ? tearNumbers(8, 120) : tearNumbers(128, 5);
const wanted = process.env.HEADGATE_CASE;

interface Point {
  readonly index: number;
  readonly operation: Operation;
  readonly before: readonly Image[];
  /** Pages of the run that were stored before it, of both kinds. */
  readonly stored: number;
}

/** A core with a run in its memory that waits to be stored, over and over again. */
class LogBench {
  readonly flash = new FailingFlash(new Random(1));
  readonly rig = coreOn(this.flash);
  readonly log = new FlashLog(this.rig);
  /** What the pages hold that wait, those of records and those of ticks. */
  readonly records: Buffer[];
  readonly ticks: Buffer[];
  private readonly memory = new Uint8Array(this.rig.core.memory.buffer);
  private readonly waiting: Uint8Array;

  /** The log before the run: so many runs of the same kind. */
  constructor(runsBefore: number) {
    const settings = smallSettings();
    this.rig.start();
    this.rig.keepsTicks = true;
    store(this.rig, settings);
    this.rig.idle();
    const car = new Car(this.rig, settings, GOOD_POINT, 1_000_000);
    arm(car);
    ticks(car, RUN_MS);
    car.set("arm", false);
    ticks(car, AFTER_MS);
    this.waiting = this.memory.slice();
    const pages = Array.from({ length: this.log.now().waiting }, (_, i) => {
      const at = PAGE_RING.address + i * LOG_PAGE.memoryBytes;
      return this.waiting.subarray(at, at + LOG_PAGE.memoryBytes);
    });
    const isOf = (magic: number) => (page: Uint8Array) => page[0]! + 256 * page[1]! === magic;
    this.records = pages.filter(isOf(LOG_PAGE.magic)).map((page) => contentsOf(page, LOG_PAGE.leftOut));
    this.ticks = pages.filter(isOf(LOG_PAGE.ticksMagic)).map((page) => contentsOf(page, LOG_PAGE.leftOut));
    for (let n = 0; n < runsBefore; n++) {
      this.powerOn();
      this.log.settle();
    }
  }

  /** Starts with the run waiting in memory again, as if it had just been driven. */
  powerOn(): void {
    this.memory.set(this.waiting);
    this.rig.start();
  }

  save(): Image[] {
    return PARTS.map((from) => this.flash.save(from, from + USED_BYTES));
  }

  restore(images: readonly Image[]): void {
    for (const [i, from] of PARTS.entries()) this.flash.restore(from, images[i]!);
  }

  /** Every flash operation on the log in storing one run. */
  points(): Point[] {
    const points: Point[] = [];
    let stored = 0;
    this.flash.onOperation = (operation) => {
      if (operation.offset >= FLASH.logEnd) return undefined;
      points.push({ index: points.length, operation, before: this.save(), stored });
      if (operation.kind === "program") stored++;
      return undefined;
    };
    this.powerOn();
    this.log.settle();
    this.flash.onOperation = undefined;
    return points;
  }

  /** Pages of each run that can be read, by its number. Checks that each holds what stood in it in memory. */
  async readable(): Promise<Map<number, number>> {
    const info = this.log.now();
    const runs = new Map<number, number>();
    const add = (run: number, pages: number): void => {
      if (pages > 0) runs.set(run, (runs.get(run) ?? 0) + pages);
    };
    for (const { run, pages } of await findRuns(this.log, info)) add(run, this.same(run, pages));
    for (let run = 1; run <= info.run + 1; run++) add(run, sameAs(await ticksOf(this.log, run), this.ticks));
    return runs;
  }

  private same(run: number, pages: readonly number[]): number {
    const whole = pages
      .map((place) => this.flash.read(FLASH.logStart + place * FLASH.page, FLASH.page).slice())
      .filter((bytes) => decodePage(bytes)?.head.run === run);
    return sameAs(whole, this.records);
  }
}

/** What a page holds, without its head, its number and its check sum. */
const contentsOf = (page: Uint8Array, leftOut = 0): Buffer =>
  Buffer.from([page[2]!, ...page.subarray(LOG_PAGE.headBytes - leftOut, LOG_PAGE.numberAt - leftOut)]);

/** How many of these pages there are, each once. Throws when one holds anything else than the page of its number. */
function sameAs(pages: readonly Uint8Array[], expected: readonly Buffer[]): number {
  const numbers = new Set<number>();
  for (const page of pages) {
    const number = page[LOG_PAGE.numberAt]! + 256 * page[LOG_PAGE.numberAt + 1]!;
    if (!expected[number]?.equals(contentsOf(page))) throw new Error(`page ${number} is another`);
    numbers.add(number);
  }
  return numbers.size;
}

async function runCut(
  bench: LogBench,
  point: Point,
  n: number,
  old: ReadonlyMap<number, number>,
): Promise<void> {
  const random = new Random(point.index * 7919 + n);
  bench.flash.random = random;
  bench.restore(point.before);
  bench.flash.tear(point.operation.offset, tearOf(point.operation, n, random));
  bench.powerOn();
  const newest = Math.max(0, ...old.keys());
  const after = await bench.readable();
  const least = Math.min(point.stored, bench.records.length + bench.ticks.length);
  if ((after.get(newest + 1) ?? 0) < least) throw new Error(`${after.get(newest + 1)} pages of ${least}`);
  for (const [run, pages] of old) {
    if (after.get(run) !== pages) throw new Error(`run ${run}: ${after.get(run)} of ${pages} pages`);
  }
  if (random.oneIn(2)) cutAgain(bench, random);
  bench.log.settle();
  const { run } = bench.log.now();
  const last = (await bench.readable()).get(run);
  if (last !== bench.records.length + bench.ticks.length)
    throw new Error(
      `the next run has ${last} of ${bench.records.length} and ${bench.ticks.length} pages, run ${run} of ${[...(await bench.readable())]}`,
    );
}

/** Another cut while the next run is stored. */
function cutAgain(bench: LogBench, random: Random): void {
  let left = random.below(30);
  bench.flash.onOperation = (operation) =>
    operation.offset < FLASH.logEnd && left-- === 0
      ? tearOf(operation, random.below(1000), random)
      : undefined;
  try {
    bench.log.settle();
  } catch (thrown) {
    if (!(thrown instanceof PowerLost)) throw thrown;
    bench.flash.onOperation = undefined;
    bench.powerOn();
  }
  bench.flash.onOperation = undefined;
}

describe("a cut in the middle of any flash operation of storing a run", () => {
  let cases = 0;
  afterEach((context) => {
    process.stdout.write(`${context.task.name}: ${cases} cuts\n`);
    cases = 0;
  });

  function numbersFor(name: string, { index }: Point): readonly number[] {
    if (wanted === undefined) return TEARS;
    const [log, place, n] = wanted.split("/");
    return log === name && Number(place) === index ? [Number(n)] : [];
  }

  test.each([
    ["log-empty", 0],
    ["log-in-use", 3],
  ])("%s", async (name, runsBefore) => {
    const bench = new LogBench(runsBefore);
    const old = await bench.readable();
    const points = bench.points();
    expect(points.length).toBeGreaterThan(20);
    const failures: string[] = [];
    for (const point of points) {
      for (const n of numbersFor(name, point)) {
        cases++;
        await runCut(bench, point, n, old).catch((thrown: unknown) => {
          bench.flash.onOperation = undefined;
          failures.push(`HEADGATE_CASE=${name}/${point.index}/${n}: ${String(thrown)}`);
        });
      }
    }
    expect(failures).toEqual([]);
  });
});
