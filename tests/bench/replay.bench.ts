// Bytes of an exact stream for each second of a run on the emulated board, without noise and with some at every sensor, and how fast it is replayed.
import { readFileSync } from "node:fs";
import { AS_PLANNED } from "#host/bench/loop/conditions.ts";
import { launchScript } from "#host/bench/loop/script.ts";
import { freshMemory, replayExact } from "#host/replay/exact/replay.ts";
import { streamBytes } from "#host/replay/exact/stream.ts";
import { SENSOR_UV_PER_CODE, TICK_US } from "#shared-schema/model/blocks.ts";
import { boardTicks } from "../support/board-ticks.ts";
import { coreModuleFile } from "../support/core-module.ts";
import { demoEntry } from "../support/driven.ts";
import type { Row } from "./row.ts";

const END_S = 6;
const OFF = { atS: END_S - 0.1, change: { arm: false }, words: "off" };
/** Deviations of the noise in codes of the sensors' converter, and what the stream may then come to. */
const NOISES = [
  [0, "1.6"],
  [1, "3.1"],
  [2, "4.4"],
] as const;

/** Measures; takes about half a minute. */
export function run(): Row[] {
  const module = new WebAssembly.Module(new Uint8Array(readFileSync(coreModuleFile())));
  const fresh = freshMemory(module);
  const entry = demoEntry();
  return NOISES.flatMap(([codes, aim]) => {
    const conditions = { ...AS_PLANNED, noiseMv: (codes * SENSOR_UV_PER_CODE) / 1000 };
    const script = [...launchScript(entry.settings), OFF];
    const { run: exact } = boardTicks(entry, conditions, { script, endS: END_S, seed: 1 });
    const start = streamBytes({ ...exact, ticks: [] }, fresh).length;
    const seconds = (exact.ticks.length * TICK_US) / 1e6;
    const from = process.hrtime.bigint();
    replayExact(module, exact, () => {});
    const tookS = Number(process.hrtime.bigint() - from) / 1e9;
    const name = `exact stream, noise of ${codes} codes`;
    return [
      {
        name,
        value: (streamBytes(exact, fresh).length - start) / seconds / 1000,
        unit: "kB/s",
        aim: `under ${aim}`,
      },
      { name: `${name}: start`, value: start, unit: "bytes" },
      { name: `${name}: replayed`, value: seconds / tookS, unit: "x real time" },
    ];
  });
}
