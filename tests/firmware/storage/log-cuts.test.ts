// Power is cut in every flash operation of storing a run: what was stored before it reads back record by record, and the
// next run is stored whole. HEADGATE_CASE reruns one case; CI runs the whole.
import { afterEach, describe, expect, test } from "vitest";
import { findRuns } from "#host/logbook/find-runs.ts";
import { decodePage } from "#host/logbook/page.ts";
import { LOG_PAGE, LOG_RECORD_BYTES } from "#shared-schema/link/columns.ts";
import { FLASH, LOG_RING } from "#shared-schema/model/blocks.ts";
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

const RUN_MS = 1_500;
/** No case gets further in the log than this. */
const USED_BYTES = 32 * FLASH.sector;
const AFTER_MS = 600;
/** How each operation is torn: in CI in many ways, elsewhere in a few. */
const TEARS = process.env.CI ? tearNumbers(8, 120) : tearNumbers(128, 5);
const wanted = process.env.HEADGATE_CASE;

interface Point {
  readonly index: number;
  readonly operation: Operation;
  readonly before: Image;
  /** Pages of the run that were stored before it. */
  readonly stored: number;
}

/** A core with a run in its memory that waits to be stored, over and over again. */
class LogBench {
  readonly flash = new FailingFlash(new Random(1));
  readonly rig = coreOn(this.flash);
  readonly log = new FlashLog(this.rig);
  readonly records: Uint8Array[];
  private readonly memory = new Uint8Array(this.rig.core.memory.buffer);
  private readonly waiting: Uint8Array;

  /** The log before the run: so many runs of the same kind. */
  constructor(runsBefore: number) {
    const settings = smallSettings();
    this.rig.start();
    store(this.rig, settings);
    this.rig.idle();
    const car = new Car(this.rig, settings, GOOD_POINT, 1_000_000);
    arm(car);
    ticks(car, RUN_MS);
    car.set("arm", false);
    ticks(car, AFTER_MS);
    this.waiting = this.memory.slice();
    this.records = Array.from({ length: this.log.now().waiting }, (_, i) => {
      const at = LOG_RING.address + i * LOG_RECORD_BYTES;
      return this.waiting.slice(at, at + LOG_RECORD_BYTES);
    });
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

  save(): Image {
    return this.flash.save(FLASH.logStart, FLASH.logStart + USED_BYTES);
  }

  restore(image: Image): void {
    this.flash.restore(FLASH.logStart, image);
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

  /** Records of each run that can be read, by its number. Checks that each is what was recorded there. */
  async readable(): Promise<Map<number, number>> {
    const runs = await findRuns(this.log, this.log.now());
    return new Map(runs.map(({ run, pages }) => [run, this.same(run, pages)]));
  }

  private same(run: number, pages: readonly number[]): number {
    let records = 0;
    for (const place of pages) {
      const at = FLASH.logStart + place * FLASH.page;
      const page = decodePage(this.flash.read(at, FLASH.page));
      if (page?.head.run !== run) continue;
      const from = page.number * LOG_PAGE.records;
      for (const [i, record] of page.records.entries()) {
        if (Buffer.compare(record, this.records[from + i]!) !== 0)
          throw new Error(`record ${from + i} is another`);
        records++;
      }
    }
    return records;
  }
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
  const least = Math.min(point.stored * LOG_PAGE.records, bench.records.length);
  if ((after.get(newest + 1) ?? 0) < least) throw new Error(`${after.get(newest + 1)} records of ${least}`);
  for (const [run, records] of old) {
    if (after.get(run) !== records) throw new Error(`run ${run}: ${after.get(run)} of ${records} records`);
  }
  if (random.oneIn(2)) cutAgain(bench, random);
  bench.log.settle();
  const { run } = bench.log.now();
  const last = (await bench.readable()).get(run);
  if (last !== bench.records.length)
    throw new Error(
      `the next run has ${last} of ${bench.records.length} records, run ${run} of ${[...(await bench.readable())]}`,
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
