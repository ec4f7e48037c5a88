// Bytes of the ticks that the emulated board stores of each second of a run, without noise and with some at every sensor, and how fast they are replayed.
import { readFileSync } from "node:fs";
import { CoreRig } from "#host/bench/core/rig.ts";
import { AS_PLANNED } from "#host/bench/loop/conditions.ts";
import { launchScript } from "#host/bench/loop/script.ts";
import { piecesOf } from "#host/replay/exact/pieces.ts";
import { replayExact } from "#host/replay/exact/replay.ts";
import { LOG_PAGE } from "#shared-schema/link/columns.ts";
import { SENSOR_UV_PER_CODE, TICK_US } from "#shared-schema/model/blocks.ts";
import { boardTicks } from "../support/board-ticks.ts";
import { coreModuleFile } from "../support/core-module.ts";
import { demoEntry, flashWith } from "../support/driven.ts";
import type { Row } from "./row.ts";

const END_S = 6;
const OFF = { atS: END_S - 0.1, change: { arm: false }, words: "off" };
/** Deviations of the noise in codes of the sensors' converter, and what the ticks may then come to. */
const NOISES = [
  [0, "1.6"],
  [1, "3.1"],
  [2, "4.4"],
] as const;

/** Measures; takes about half a minute. */
export function run(): Row[] {
  const module = new WebAssembly.Module(new Uint8Array(readFileSync(coreModuleFile())));
  const entry = demoEntry();
  return NOISES.flatMap(([codes, aim]) => {
    const conditions = { ...AS_PLANNED, noiseMv: (codes * SENSOR_UV_PER_CODE) / 1000 };
    const script = [...launchScript(entry.settings), OFF];
    const { pages } = boardTicks(entry, conditions, { script, endS: END_S, seed: 1 });
    const pieces = piecesOf(pages);
    const seconds = (pieces.flatMap(({ ticks }) => ticks).length * TICK_US) / 1e6;
    const rig = new CoreRig(module, flashWith(entry.settings));
    rig.start();
    const from = process.hrtime.bigint();
    replayExact(rig, pieces, () => {});
    const tookS = Number(process.hrtime.bigint() - from) / 1e9;
    const name = `ticks in flash, noise of ${codes} codes`;
    return [
      {
        name,
        value: (pages.length * LOG_PAGE.bytes) / seconds / 1000,
        unit: "kB/s",
        aim: `under ${aim}`,
      },
      { name: `${name}: replayed`, value: seconds / tookS, unit: "x real time" },
    ];
  });
}
