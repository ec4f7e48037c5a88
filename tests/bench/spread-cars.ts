// The twelve planned cars as they are: planned time, median of a spread, and time beyond peak slip on less grip. Prints a Markdown table.
import { readFileSync } from "node:fs";
import { ClosedLoop } from "#host/bench/loop/closed-loop.ts";
import { AS_PLANNED, under } from "#host/bench/loop/conditions.ts";
import { drive } from "#host/bench/loop/drive.ts";
import { quantile } from "#host/bench/loop/quantiles.ts";
import { RigController } from "#host/bench/loop/rig-controller.ts";
import { launchScript } from "#host/bench/loop/script.ts";
import { spreadRun } from "#host/bench/loop/spread.ts";
import { USUAL_TOLERANCE } from "#host/bench/loop/tolerance.ts";
import { QUARTER_MILE_M } from "#host/car/quarter-mile.ts";
import { TWELVE_CARS } from "../host/plan/twelve-cars.ts";
import { type Entry, flashWith, plannedEntry } from "../support/driven.ts";

/** Runs of each spread: the first argument, or a hundred. */
const RUNS = Number(process.argv[2] ?? 100);
const SEED = 1;
const UNTIL = { distanceM: QUARTER_MILE_M };
const GRIPS = [1, 0.9, 0.85, 0.8];
const HEAD = [
  "car",
  "planned, s",
  "run as planned, s",
  "median, s",
  "5 to 95 %, s",
  "beyond peak slip as planned",
  "grip -10 %",
  "-15 %",
  "-20 %",
];

const CORE = new WebAssembly.Module(new Uint8Array(readFileSync("firmware/image/core.wasm")));

function row(name: string, entry: Entry): string[] {
  const { settings, plan } = entry;
  const flash = flashWith(settings);
  const atGrip = GRIPS.map((gripShare) => {
    const loop = new ClosedLoop({
      ...under(entry, { ...AS_PLANNED, gripShare }),
      settings,
      controller: new RigController(CORE, flash, { keepsEdges: false }),
      script: launchScript(settings),
    });
    return drive(loop, { until: UNTIL });
  });
  const spread = { seed: SEED, runs: RUNS, tolerance: USUAL_TOLERANCE, corners: false, until: UNTIL };
  const car = { driven: entry, settings, module: CORE, flash };
  const times = Array.from({ length: RUNS }, (_, n) => spreadRun(car, spread, n).quarterS).filter(
    (s) => s !== undefined,
  );
  const at = (share: number): string => quantile(times, share)?.toFixed(2) ?? "-";
  const spins = atGrip.map(({ spin }) => {
    const { overS, worst } = spin.spin;
    return overS === 0 ? "0" : `${overS.toFixed(2)} s, ${Math.round(worst * 100)} %`;
  });
  return [
    name,
    plan.runs.planned.quarterS.toFixed(2),
    atGrip[0]!.timer.slip.quarter?.timeS.toFixed(2) ?? "-",
    at(0.5),
    `${at(0.05)} to ${at(0.95)}`,
    ...spins,
  ];
}

const line = (cells: readonly string[]): string => `| ${cells.join(" | ")} |`;
const say = (cells: readonly string[]): void => void process.stdout.write(`${line(cells)}\n`);

say(HEAD);
say(HEAD.map(() => "---"));
let furthestS = 0;
for (const { name, text } of TWELVE_CARS) {
  const cells = row(name, plannedEntry(text));
  say(cells);
  furthestS = Math.max(furthestS, Math.abs(Number(cells[1]) - Number(cells[3])));
}
process.stdout.write(
  `\nPlanned times are within ${furthestS.toFixed(2)} s of the median; at most 0.10 s is asked.\n`,
);
