// Ticks that controllers have stored: runs of the released image on the emulated board, and trips of the fault matrix, come out the same in every output of every tick.
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import type { MemoryFlash } from "#host/bench/core/flash.ts";
import { CoreRig } from "#host/bench/core/rig.ts";
import type { Movement } from "#host/bench/loop/script.ts";
import { drawn, USUAL_TOLERANCE } from "#host/bench/loop/tolerance.ts";
import { type Piece, piecesOf } from "#host/replay/exact/pieces.ts";
import { replayExact } from "#host/replay/exact/replay.ts";
import { MODES } from "#shared-schema/model/modes.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import type { Car } from "../../oracle/car.ts";
import type { Settings } from "../../oracle/settings.ts";
import { boardTicks } from "../../support/board-ticks.ts";
import { coreModuleFile } from "../../support/core-module.ts";
import { demoEntry, flashWith } from "../../support/driven.ts";
import { ALL } from "../../support/effort.ts";
import { singleFaults } from "../../support/fault-matrix.ts";
import { FlashLog } from "../../support/flash-log.ts";
import { STATES } from "../../support/machine-states.ts";
import { PROVING } from "../../support/proving.ts";
import { Random } from "../../support/random.ts";
import { OUTPUT_BYTES, saidIn, tickPagesIn } from "../../support/stored-ticks.ts";

const module = new WebAssembly.Module(new Uint8Array(readFileSync(coreModuleFile())));
const entry = demoEntry();
/** After the last of these modes half a second is stored, or up to off; without any, what is left of half a second of arming. */
const RUNS: readonly string[] = ["armed", "flowing"];
const LEAST = 400;
const AFTER_TICKS = 600;
const STORED_AFTER = 500;
const FLOWING = MODES.indexOf("flowing");
/** Fifty runs and all 1,541 cases came out the same too: HEADGATE_REPLAYS=all, two minutes. */
const EVERYTHING = process.env.HEADGATE_REPLAYS === "all";
const RANDOM_RUNS = EVERYTHING ? 50 : ALL ? 20 : 1;
/** The first of them that flows. */
const FIRST = ALL || EVERYTHING ? 0 : 1;
const EVERY = EVERYTHING ? 1 : ALL ? 4 : 67;

const stored = new Map<Document, MemoryFlash>();

/** A core that has started with these settings. */
function started(settings: Document): CoreRig {
  const flash = stored.get(settings) ?? flashWith(settings);
  stored.set(settings, flash);
  const rig = new CoreRig(module, flash);
  rig.start();
  return rig;
}

/** What a replay says after each tick; the state that a piece begins with must be the one that the ticks before have led to. */
function replayed(settings: Document, pieces: readonly Piece[]): Buffer[] {
  const rig = started(settings);
  const memory = new Uint8Array(rig.core.memory.buffer);
  const said: Buffer[] = [];
  replayExact(
    rig,
    pieces,
    () => said.push(saidIn(memory)),
    ({ areas }) => {
      for (const { at, bytes } of areas.slice(1))
        expect(Buffer.compare(memory.subarray(at, at + bytes.length), bytes)).toBe(0);
    },
  );
  return said;
}

const modeIn = (said: Buffer): string => MODES[said[OUTPUT_BYTES]!]!;

/** How many ticks must be stored. */
function ticksOf(heard: readonly Buffer[]): number {
  const modes = heard.map(modeIn);
  const last = modes.findLastIndex((mode) => RUNS.includes(mode));
  const off = modes.findIndex((mode, n) => n > last && (mode === "off" || mode === "service"));
  const ended = off < 0 ? heard.length : off + 1;
  if (last < 0) return modes[0] === "arming" ? Math.min(LEAST, ended) : 0;
  return Math.min(last + STORED_AFTER, ended);
}

/** The first tick in which a replay of what is stored says anything else, or is missing; undefined when there is none. */
function firstOther(
  settings: Document,
  pages: readonly Uint8Array[],
  heard: readonly Buffer[],
): number | undefined {
  const said = replayed(settings, piecesOf(pages));
  const other = said.findIndex((one, n) => !heard[n]?.equals(one));
  if (other >= 0) return other;
  return said.length < ticksOf(heard) ? said.length : undefined;
}

/** Switches and pedal at random times, the car held at the line; the arm switch bounces now and then. */
function randomScript(random: Random): Movement[] {
  const at = (fromMs: number, toMs: number): number => random.between(fromMs, toMs) / 1000;
  const off = at(1250, 1500);
  const bounce = at(950, 1150);
  return [
    { atS: 0.25, change: { arm: true, bottleValve: true, enrich: !random.oneIn(4) }, words: "arm" },
    { atS: 0.35, change: { pedal: 1, launch: true }, words: "pedal" },
    { atS: at(650, 750), change: { launch: false }, words: "go" },
    ...(random.oneIn(2)
      ? [
          { atS: bounce, change: { arm: false }, words: "noise" },
          { atS: bounce + 0.002, change: { arm: true }, words: "back" },
        ]
      : []),
    ...(random.oneIn(2) ? [{ atS: off - 0.1, change: { pedal: 0.3 }, words: "lift" }] : []),
    { atS: off, change: { arm: false }, words: "off" },
  ].sort((a, b) => a.atS - b.atS);
}

test("random runs of the released image on the emulated board, with noisy senders and pulses", () => {
  let [all, flowed] = [0, 0];
  for (let n = FIRST; n < FIRST + RANDOM_RUNS; n++) {
    const script = randomScript(new Random(n));
    const { pages, said: heard } = boardTicks(entry, drawn(USUAL_TOLERANCE, 11, n), {
      script,
      endS: 1.55,
      seed: n,
    });
    expect(heard.length).toBeGreaterThan(1000);
    expect([n, firstOther(entry.settings, pages, heard)]).toEqual([n, undefined]);
    all += heard.length;
    flowed += heard.filter((one) => one[OUTPUT_BYTES] === FLOWING).length;
  }
  process.stdout.write(`${all} ticks of the emulated board replayed, ${flowed} of them with flow\n`);
  expect(flowed).toBeGreaterThan(100);
});

const FAULTY_TICKS = 200;

/**
 * What a car's core has said after each tick of a fault, then off, and the pages that it has stored; from its next tick on,
 * or where the fault itself begins a run, from the tick after the one in which arming begins.
 */
function watched(
  car: Car,
  fault: (car: Car) => void,
): { pages: Uint8Array[]; heard: Buffer[]; tripped: boolean } {
  const { rig } = car;
  const memory = new Uint8Array(rig.core.memory.buffer);
  const heard: Buffer[] = [];
  const go = (count: number): void => {
    for (let i = 0; i < count; i++) {
      car.tick();
      heard.push(saidIn(memory));
    }
  };
  rig.keepsTicks = true;
  car.tick();
  const wasOff = MODES[car.mode] === "off";
  fault(car);
  go(FAULTY_TICKS);
  const mode = MODES[car.mode]!;
  car.set("arm", false);
  go(AFTER_TICKS);
  new FlashLog(rig).settle();
  const from = wasOff ? heard.findIndex((said) => modeIn(said) === "arming") + 1 : 0;
  return {
    pages: tickPagesIn(rig.flash.bytes),
    heard: heard.slice(from),
    tripped: mode === "tripped" || mode === "locked",
  };
}

describe("trips of the fault matrix", () => {
  const document = PROVING;
  const settings = PROVING as unknown as Settings;
  const cases = singleFaults(settings).flatMap((fault) => STATES.map((state) => ({ fault, state })));
  const chosen = cases.filter((_, i) => i % EVERY === 0);

  test("are replayed from what the core has stored of them", () => {
    let [trips, runs] = [0, 0];
    for (const { fault, state } of chosen) {
      const { pages, heard, tripped } = watched(state.reach(settings), fault.apply);
      if (pages.length === 0) continue;
      runs++;
      expect([fault.name, state.name, firstOther(document, pages, heard)]).toEqual([
        fault.name,
        state.name,
        undefined,
      ]);
      if (tripped) trips++;
    }
    process.stdout.write(
      `${chosen.length} of ${cases.length} faults, ${runs} in a run; ${trips} trips replayed tick by tick\n`,
    );
    expect(trips).toBeGreaterThan(chosen.length / 10);
  });
});
