// The same proof on the emulated board: power cut in every flash operation of a save and of storing a run, and between the
// instructions of a save. HEADGATE_CASE reruns one case; CI runs more of them.
import { afterEach, describe, expect, test } from "vitest";
import type { FlashOperation } from "#host/bench/board/outside/nor-flash.ts";
import { SLOWEST, TYPICAL } from "#host/bench/board/part-times.ts";
import { numberOf } from "#host/link/payload.ts";
import { decodePage } from "#host/logbook/page.ts";
import { decodeTicksPage } from "#host/logbook/ticks-page.ts";
import { exampleDocument } from "#host/settings/example.ts";
import { settingsBytes } from "#host/settings/hash.ts";
import { SLOT_NOTES } from "#shared-schema/link/messages.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";
import { driveBoard } from "../../support/driven.ts";
import { PREFIX_TEARS } from "../../support/failing-flash.ts";
import { Random } from "../../support/random.ts";
import { HELLO, type Load, loadOf, readFrames, SLOTS_FROM } from "./bench.ts";
import { BoardUnderCut, cutOf, shaking } from "./board-cuts.ts";
import { LAST, LOADS, NUMBER, slotBytes } from "./scenarios.ts";

const wanted = process.env.HEADGATE_CASE;
const TEARS = process.env.CI ? [0, 100, 256, 258, 259, 260, 261] : [258];
const STEPS = process.env.CI ? 60 : 1;
/** Flash chips of both kinds take part: the typical and, in one case of eight, the slowest. */
const partsOf = (n: number): typeof TYPICAL => (n % 8 === 3 ? SLOWEST : TYPICAL);

/** Lets the slow work on the slots come to its end. */
function rest({ board }: BoardUnderCut): void {
  board.runFor(board.flash.times.sectorEraseNs > TYPICAL.sectorEraseNs ? SLOW_REST_US : REST_US);
}
const [OLD, NEW] = LOADS as [Load, Load];
const OLD_SEQUENCE = 7;
/** All slow work on the slots is over. */
const REST_US = 400_000;
/** The same with the slowest flash chip. */
const SLOW_REST_US = 2_200_000;

let cases = 0;
afterEach((context) => {
  process.stdout.write(`${context.task.name}: ${cases} cuts\n`);
  cases = 0;
});

/** Outside CI every so many-th case. */
const inSample =
  (every: number) =>
  (_: string, i: number): boolean =>
    process.env.CI !== undefined || wanted !== undefined || i % every === 1;

/** Runs the cases that are asked for; all failures with their names. */
function runCases(names: readonly string[], run: (name: string) => void): string[] {
  const failures: string[] = [];
  for (const name of wanted === undefined ? names : names.filter((one) => one === wanted)) {
    cases++;
    try {
      run(name);
    } catch (thrown) {
      failures.push(`HEADGATE_CASE=${name}: ${String(thrown)}`);
    }
  }
  return failures;
}

/** A board that holds the old settings, and a number or 0 for none. */
function boardWithOld(number: number, parts = TYPICAL): BoardUnderCut {
  const under = new BoardUnderCut(parts);
  under.board.flash.bytes.set(slotBytes(OLD.block, OLD_SEQUENCE, { number }), SLOTS_FROM);
  return under;
}

/** Starts, waits for slow work, loads, waits again. Ends early when the power goes; how far it came. */
function save(under: BoardUnderCut, load: Load): "before" | "unanswered" | "stored" {
  under.powerOn();
  rest(under);
  for (const [i, bytes] of load.frames.entries()) {
    if (!under.board.powered) return "before";
    if (under.ask(i === 0 ? "writeBegin" : "writeData", bytes) === undefined) return "before";
  }
  const answer = under.ask("writeCommit", load.commit);
  if (answer === undefined) return "unanswered";
  rest(under);
  return "stored";
}

interface InForce {
  readonly load: Load;
  readonly number: number;
}

/** What is in force after a start: which load, and the board's number. Throws when it is not whole, or not what hello says. */
function inForce(under: BoardUnderCut): InForce {
  const hello = under.values("hello", HELLO);
  const found = [OLD, NEW, LAST].find(({ crc }) => crc === numberOf(hello, "settingsCrc"));
  const notes: readonly unknown[] = [SLOT_NOTES.ok, SLOT_NOTES.cutOff];
  if (!found || hello.slot === 0 || !notes.includes(hello.slotNote)) throw new Error(JSON.stringify(hello));
  for (const { offset, length, request } of readFrames(found.block.length)) {
    const tail = under.ask("read", request)!.subarray(2);
    if (Buffer.compare(tail, found.block.subarray(offset, offset + length)) !== 0)
      throw new Error("not whole");
  }
  return { load: found, number: numberOf(hello, "boardNumber") };
}

/** Operations of the slow work after a cut, at most. */
const RECOVERY_OPERATIONS = 9;

/** A start whose slow work on the slots is cut in one of its operations, unless it has fewer. */
function cutInRecovery(under: BoardUnderCut, random: Random): void {
  const { flash } = under.board;
  let left = random.below(RECOVERY_OPERATIONS);
  flash.onOperation = (operation) =>
    left-- === 0 ? cutOf(operation, random.below(8 * PREFIX_TEARS), random) : undefined;
  under.powerOn();
  rest(under);
  flash.onOperation = undefined;
  if (under.board.powered) under.board.powerOff();
}

/** After a cut, perhaps another one in the recovery: old or new, the same after another start, and a second load works; `number` is that of before the cut. */
function expectRecovered(
  under: BoardUnderCut,
  outcome: ReturnType<typeof save>,
  number: number,
  random: Random,
): void {
  under.board.flash.onOperation = undefined;
  if (under.board.powered) under.board.powerOff();
  if (random.oneIn(2)) cutInRecovery(under, random);
  under.powerOn();
  const found = inForce(under);
  const { load } = found;
  if (found.number !== (number || (load === OLD ? 0 : NEW.number)))
    throw new Error(`it is board ${found.number}`);
  if (outcome === "before" && load !== OLD) throw new Error("new settings without a commit");
  if (outcome === "stored" && load !== NEW) throw new Error("an acknowledged save is lost");
  rest(under);
  under.board.powerCycle(1);
  rest(under);
  expect(inForce(under)).toEqual(found);
  under.board.powerOff();
  if (save(under, LAST) !== "stored") throw new Error("the second load failed");
  expect(inForce(under)).toEqual({ load: LAST, number: found.number || LAST.number });
}

/** Flash operations of a whole save, and the virtual time of its two ends. */
function course(): { operations: FlashOperation[]; fromNs: number; toNs: number } {
  const under = boardWithOld(NUMBER);
  const operations: FlashOperation[] = [];
  under.board.flash.onOperation = (operation) => {
    operations.push(operation);
    return undefined;
  };
  expect(save(under, NEW)).toBe("stored");
  return { operations, fromNs: 0, toNs: under.board.nowNs };
}

describe("a save on the emulated board", () => {
  const { operations, toNs } = course();

  test("cut in every flash operation", () => {
    expect(operations.length).toBeGreaterThan(7);
    const names = operations.flatMap((_, i) => TEARS.map((n) => `board-save/${i}/${n}`)).filter(inSample(4));
    const failures = runCases(names, (name) => {
      const [, index, n] = name.split("/").map(Number) as [number, number, number];
      const number = (index + n) % 2 ? NUMBER : 0;
      const under = boardWithOld(number, partsOf(index));
      const random = new Random(1000 * index + n);
      shaking(under.board, random);
      let at = 0;
      under.board.flash.onOperation = (operation) =>
        at++ === index ? cutOf(operation, n, random) : undefined;
      const outcome = save(under, NEW);
      expectRecovered(under, under.board.powered ? "stored" : outcome, number, random);
    });
    expect(failures).toEqual([]);
  });

  test("cut between instructions, from the start to the end", () => {
    const names = Array.from({ length: STEPS }, (_, i) => `board-time/${i}/${STEPS}`);
    const failures = runCases(names, (name) => {
      const [, i, steps] = name.split("/").map(Number) as [number, number, number];
      const number = i! % 2 ? NUMBER : 0;
      const under = boardWithOld(number);
      const { board } = under;
      board.at(
        ((i + new Random(i).below(1000) / 1000) * toNs) / steps,
        () => board.powered && board.powerOff(),
      );
      const random = new Random(i);
      shaking(board, random);
      expectRecovered(under, save(under, NEW), number, random);
    });
    expect(failures).toEqual([]);
  });
});

describe("storing a run on the emulated board", () => {
  const settings = exampleDocument(1);
  const load = loadOf(settingsBytes(settings), 3);
  const STORING_US = 1_500_000;
  /** The run that is cut, then one that is not. */
  const script = [
    { atS: 0.4, change: { arm: true, bottleValve: true, enrich: true }, words: "arm" },
    { atS: 0.7, change: { arm: false }, words: "off" },
  ];

  function drive(under: BoardUnderCut): void {
    driveBoard(under.board, settings, script, 0.8);
    if (under.board.powered) under.board.runFor(STORING_US);
  }

  /** Runs of the whole pages in flash, of records and of ticks, with how many pages each has. */
  function stored({ board }: BoardUnderCut): Map<number, number> {
    const pages = new Map<number, number>();
    for (const start of [FLASH.logStart, FLASH.ticksStart])
      for (let at = start; at < start + 8 * FLASH.sector; at += FLASH.page) {
        const page = board.flash.bytes.slice(at, at + FLASH.page);
        const run = (decodePage(page)?.head ?? decodeTicksPage(page))?.run;
        if (run !== undefined) pages.set(run, (pages.get(run) ?? 0) + 1);
      }
    return pages;
  }

  function fresh(): BoardUnderCut {
    const under = new BoardUnderCut();
    under.board.flash.bytes.set(slotBytes(load.block, 4), SLOTS_FROM);
    under.powerOn();
    rest(under);
    return under;
  }

  test("cut in every flash operation: earlier pages stay, the next run is whole", () => {
    const whole = fresh();
    const kinds: string[] = [];
    whole.board.flash.onOperation = ({ kind, offset }) => {
      if (offset < FLASH.logEnd) kinds.push(kind);
      return undefined;
    };
    drive(whole);
    const pages = stored(whole).get(1)!;
    expect(kinds.filter((kind) => kind === "program")).toHaveLength(pages);
    const tears = process.env.CI ? TEARS.slice(2, 5) : TEARS;
    const names = kinds.flatMap((_, i) => tears.map((n) => `board-log/${i}/${n}`)).filter(inSample(28));
    const failures = runCases(names, (name) => {
      const [, index, n] = name.split("/").map(Number) as [number, number, number];
      const under = fresh();
      let at = 0;
      under.board.flash.onOperation = (operation) =>
        operation.offset < FLASH.logEnd && at++ === index ? cutOf(operation, n, new Random(n)) : undefined;
      drive(under);
      if (under.board.powered) throw new Error("no cut");
      under.board.flash.onOperation = undefined;
      const before = kinds.slice(0, index).filter((kind) => kind === "program").length;
      under.powerOn();
      rest(under);
      if ((stored(under).get(1) ?? 0) < before) throw new Error(`${stored(under).get(1)} of ${before} pages`);
      drive(under);
      const newest = Math.max(...stored(under).keys());
      if (stored(under).get(newest) !== pages)
        throw new Error(`the next run has ${stored(under).get(newest)} pages`);
    });
    expect(failures).toEqual([]);
  });
});
