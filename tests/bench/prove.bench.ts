// How long a whole proof takes with the bundled tool: on one processor, and on all of them.
import { spawnSync } from "node:child_process";
import { availableParallelism } from "node:os";
import type { Row } from "./row.ts";

const TOOL = "dist/headgate.js";

/** Wall time of the whole catalogue on so many workers, s. Throws when a fault is not met. */
function seconds(workers: number): number {
  const start = performance.now();
  const args = [TOOL, "prove", "--workers", String(workers), "--json"];
  const { status, stdout } = spawnSync(process.execPath, args, { encoding: "utf8", maxBuffer: 1 << 26 });
  if (status === null || /"outcome": ?"failed"/.test(stdout)) throw new Error("the proof failed");
  return (performance.now() - start) / 1000;
}

/** Needs the bundle (`npm ci` or `tsx host/bundle.ts` makes it). */
export async function run(): Promise<Row[]> {
  const cores = availableParallelism();
  return [
    { name: "headgate prove, the whole catalogue, one worker", value: seconds(1), unit: "s" },
    {
      name: `the same on ${cores} workers`,
      value: seconds(cores),
      unit: "s",
      aim: "under 30 on two idle cores",
    },
  ];
}
