// How long the bundled tool takes to say something, against a bare `node -e 0` on the same computer.
import { spawnSync } from "node:child_process";
import type { Row } from "./row.ts";

const RUNS = 15;
const TOOL = "dist/headgate.js";
const FILE = "host/demo/street-coupe.yaml";

/** Median wall time of a run, ms. Throws when a run fails: a tool that does not start is not fast. */
function medianMs(args: readonly string[]): number {
  const times = Array.from({ length: RUNS }, () => {
    const start = performance.now();
    const { status } = spawnSync(process.execPath, args, { stdio: "ignore" });
    if (status !== 0) throw new Error(`node ${args.join(" ")} ended with ${status}`);
    return performance.now() - start;
  });
  return times.sort((a, b) => a - b)[RUNS >> 1]!;
}

/** Needs the bundle (`npm ci` or `tsx host/bundle.ts` makes it). */
export async function run(): Promise<Row[]> {
  const bare = medianMs(["-e", "0"]);
  const ratio = (args: readonly string[]): number => medianMs([TOOL, ...args]) / bare;
  return [
    { name: "start of node alone", value: bare, unit: "ms" },
    { name: "headgate --help, over node alone", value: ratio(["--help"]), unit: "x", aim: "under 3" },
    { name: "headgate check, over node alone", value: ratio(["check", FILE]), unit: "x", aim: "under 3" },
  ];
}
