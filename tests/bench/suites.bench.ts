// How long the tests take on this computer: all of them, the quick ones, and those of the control core.
import { spawnSync } from "node:child_process";
import { join } from "node:path";
import type { Row } from "./row.ts";

const VITEST = join(import.meta.dirname, "../../node_modules/vitest/vitest.mjs");

/** Wall time of a run, s. Throws when a test fails: a suite that fails early is not fast. */
function seconds(args: readonly string[]): number {
  const { CI: _whole, ...env } = process.env;
  const start = performance.now();
  const { status } = spawnSync(process.execPath, [VITEST, "run", ...args], { stdio: "ignore", env });
  if (status !== 0) throw new Error(`vitest run ${args.join(" ")} ended with ${status}`);
  return (performance.now() - start) / 1000;
}

/** The commands of package.json: `npm test`, `npm run test:quick`, `npm run core`. Takes minutes. */
export async function run(): Promise<Row[]> {
  return [
    { name: "npm test", value: seconds([]), unit: "s", aim: "under 150 on two idle cores" },
    {
      name: "npm run test:quick",
      value: seconds(["--mode", "quick"]),
      unit: "s",
      aim: "under 30 on two idle cores",
    },
    { name: "npm run core", value: seconds(["tests/firmware/core"]), unit: "s" },
  ];
}
