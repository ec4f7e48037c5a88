// What a closed loop costs: one run on the core rig, two hundred on all processors, and the emulated board with a car.

import { spawnSync } from "node:child_process";
import { availableParallelism } from "node:os";
import { BoardController } from "#host/bench/loop/board-controller.ts";
import { rehearse } from "#host/bench/loop/rehearse.ts";
import { launchScript } from "#host/bench/loop/script.ts";
import { QUARTER_MILE_M } from "#host/car/quarter-mile.ts";
import { TWELVE_CARS } from "../host/plan/twelve-cars.ts";
import { boardWith, plannedEntry } from "../support/driven.ts";
import type { Row } from "./row.ts";

const TOOL = "dist/headgate.js";
const RUNS = 200;
/** Long enough that starting the tool and planning the car no longer count. */
const MORE_RUNS = 60;
const COUPE = TWELVE_CARS[4]!.text;

/** Processor time of a function, s. */
function cpuS(work: () => void): number {
  const before = process.cpuUsage();
  work();
  const { user, system } = process.cpuUsage(before);
  return (user + system) / 1e6;
}

/** Wall time of a spread of the demo with the bundled tool, s. */
function spreadS(runs: number, workers: number): number {
  const start = performance.now();
  const args = [TOOL, "spread", "host/demo/street-coupe.yaml", "--runs", String(runs)];
  const { status, stderr } = spawnSync(process.execPath, [...args, "--workers", String(workers)], {
    encoding: "utf8",
  });
  if (status !== 0) throw new Error(`the spread failed: ${stderr}`);
  return (performance.now() - start) / 1000;
}

/** Virtual seconds of a quarter mile with the coupe on the board, for one of processor time. */
function boardSpeed(): number {
  const entry = plannedEntry(COUPE);
  const { board } = boardWith(entry.settings);
  const run = { ...entry, script: launchScript(entry.settings), until: { distanceM: QUARTER_MILE_M } };
  let endS = 0;
  const cost = cpuS(() => {
    endS = rehearse({ ...run, controller: new BoardController(board) }).endS;
  });
  return endS / cost;
}

/** Needs the bundle (`npm ci` or `tsx host/bundle.ts` makes it); a run of the demo takes about 15 s of its own time. */
export function run(): Row[] {
  const cores = availableParallelism();
  const more = spreadS(10 + MORE_RUNS, 1) - spreadS(10, 1);
  const virtualS = 15.5;
  return [
    {
      name: "closed loop on the core rig, noise at every sensor, of real time on one core",
      value: (MORE_RUNS * virtualS) / more,
      unit: "times",
      aim: "over 400",
    },
    {
      name: `headgate spread, ${RUNS} runs on ${cores} workers`,
      value: spreadS(RUNS, cores),
      unit: "s",
      aim: "under 10",
    },
    {
      name: "the emulated board with a car, of real time",
      value: boardSpeed(),
      unit: "times",
      aim: "over 2",
    },
  ];
}
