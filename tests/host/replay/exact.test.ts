// Exact streams: runs of the released image on the emulated board, and trips of the fault matrix, come out the same in every output of every tick.
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import type { CoreRig } from "#host/bench/core/rig.ts";
import type { Movement } from "#host/bench/loop/script.ts";
import { drawn, USUAL_TOLERANCE } from "#host/bench/loop/tolerance.ts";
import { freshMemory, replayExact } from "#host/replay/exact/replay.ts";
import { CORE_BYTES, type ExactRun, readStream, streamBytes } from "#host/replay/exact/stream.ts";
import { type Tick, tickIn } from "#host/replay/exact/tick.ts";
import { MODES } from "#shared-schema/model/modes.ts";
import type { Car } from "../../oracle/car.ts";
import type { Settings } from "../../oracle/settings.ts";
import { boardTicks, OUTPUT_BYTES, saidIn } from "../../support/board-ticks.ts";
import { coreModuleFile } from "../../support/core-module.ts";
import { demoEntry } from "../../support/driven.ts";
import { ALL } from "../../support/effort.ts";
import { singleFaults } from "../../support/fault-matrix.ts";
import { STATES } from "../../support/machine-states.ts";
import { PROVING } from "../../support/proving.ts";
import { Random } from "../../support/random.ts";

const module = new WebAssembly.Module(new Uint8Array(readFileSync(coreModuleFile())));
const fresh = freshMemory(module);
const entry = demoEntry();
const FLOWING = MODES.indexOf("flowing");

/** The first tick in which a replay of the written and read stream says anything else; undefined when there is none. */
function firstOther(run: ExactRun, heard: readonly Buffer[]): number | undefined {
  const read = readStream(streamBytes(run, fresh), fresh);
  let other: number | undefined;
  replayExact(module, read, ({ core }: CoreRig, n) => {
    if (other === undefined && heard[n] && !saidIn(new Uint8Array(core.memory.buffer)).equals(heard[n]))
      other = n;
  });
  expect(read.ticks).toEqual(run.ticks);
  return other;
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
  let [ticks, flowed] = [0, 0];
  for (let n = 0; n < (ALL ? 50 : 2); n++) {
    const script = randomScript(new Random(n));
    const { run, said: heard } = boardTicks(entry, drawn(USUAL_TOLERANCE, 11, n), {
      script,
      endS: 1.55,
      seed: n,
    });
    expect(heard.length).toBeGreaterThan(1000);
    expect([n, firstOther(run, heard)]).toEqual([n, undefined]);
    ticks += heard.length;
    flowed += heard.filter((all) => all[OUTPUT_BYTES] === FLOWING).length;
  }
  process.stdout.write(`${ticks} ticks of the emulated board replayed, ${flowed} of them with flow\n`);
  expect(flowed).toBeGreaterThan(100);
});

/** Lets a car go on, and keeps all that its core reads from now on. */
function watched(car: Car, most: number): { run: ExactRun; heard: Buffer[]; tripped: boolean } {
  const memory = new Uint8Array(car.rig.core.memory.buffer);
  const [ticks, heard]: [Tick[], Buffer[]] = [[], []];
  const { core } = car.rig;
  let kept: Uint8Array | undefined;
  const tick = (nowUs: number): void => {
    kept ??= memory.slice(0, CORE_BYTES);
    ticks.push(tickIn(new DataView(memory.buffer), nowUs));
    core.tick(nowUs);
    heard.push(saidIn(memory));
  };
  Object.assign(car.rig, { core: { ...core, tick } });
  for (let i = 0; i < most; i++) car.tick();
  const mode = MODES[car.mode]!;
  return {
    run: { coreCrc: 0, memory: kept!, ticks },
    heard,
    tripped: mode === "tripped" || mode === "locked",
  };
}

describe("trips of the fault matrix", () => {
  const settings = PROVING as unknown as Settings;
  const cases = singleFaults(settings).flatMap((fault) => STATES.map((state) => ({ fault, state })));
  const chosen = cases.filter((_, i) => i % (ALL ? 19 : 67) === 0);

  test("are replayed from their ticks", () => {
    let trips = 0;
    for (const { fault, state } of chosen) {
      const car = state.reach(settings);
      fault.apply(car);
      const { run, heard, tripped } = watched(car, 200);
      expect([fault.name, state.name, firstOther(run, heard)]).toEqual([fault.name, state.name, undefined]);
      if (tripped) trips++;
    }
    process.stdout.write(
      `${chosen.length} of ${cases.length} faults replayed tick by tick, ${trips} with a trip\n`,
    );
    expect(trips).toBeGreaterThan(chosen.length / 10);
  });

  test("an input that was another one shows", () => {
    const car = STATES.find(({ name }) => name.startsWith("flowing"))!.reach(settings);
    const { run, heard } = watched(car, 200);
    expect(firstOther(run, heard)).toBeUndefined();
    const ticks = structuredClone(run.ticks) as Tick[];
    for (const tick of ticks.slice(100)) tick.adcA[0] = 0;
    const wrong = firstOther({ ...run, ticks }, heard);
    expect(wrong).toBeGreaterThanOrEqual(100);
  });
});
