// Proofs and spreads on several processors: from the bundle, with the same result in the same order whatever the number of workers.
import { execFileSync, spawnSync } from "node:child_process";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import type { Finding } from "#host/bench/prove/prove.ts";
import { prove } from "#host/bench/prove/prove.ts";
import { ROOT } from "../../../support/core-module.ts";
import { ALL } from "../../../support/effort.ts";
import { benchOptions, PROVING } from "../../../support/proving.ts";

/** Below the top of the repository, where the bundle looks for its files; removed with the installed packages. */
const BUNDLE = join(ROOT, "node_modules/.cache/headgate-bundle");
/** Rows that are quick to prove, not in the order of the catalogue. */
const ROWS = ["LINK", "ARM-BOOT"];

/** Findings of the bundled tool with so many workers. */
function proved(workers: number): Finding[] {
  const args = [
    join(BUNDLE, "headgate.js"),
    "prove",
    "--json",
    "--workers",
    String(workers),
    "--only",
    ...ROWS,
  ];
  const { stdout, stderr, status } = spawnSync(process.execPath, args, { encoding: "utf8" });
  expect(status, stderr).toBe(0);
  return (JSON.parse(stdout) as { findings: Finding[] }).findings;
}

beforeAll(() => {
  execFileSync(process.execPath, ["--import", "tsx", "host/bundle.ts", BUNDLE], { cwd: ROOT });
});

describe("a proof on workers", () => {
  test("finds the same in the same order as one without them, whatever their number", async () => {
    const alone = await prove(PROVING, { ...benchOptions(), only: ROWS });
    expect(new Set(alone.map(({ row }) => row)).size).toBe(ROWS.length);
    for (const workers of ALL ? [1, 2] : [2]) expect(proved(workers), `${workers} workers`).toEqual(alone);
  });

  test("needs one worker at least", () => {
    const args = [join(BUNDLE, "headgate.js"), "prove", "--workers", "0"];
    expect(spawnSync(process.execPath, args, { encoding: "utf8" }).status).toBe(64);
  });
});

describe("a spread on workers", () => {
  const spread = (workers: number): string => {
    const args = [join(BUNDLE, "headgate.js"), "spread", join(ROOT, "host/demo/street-coupe.yaml")];
    const few = ["--runs", "9", "--until", "eighth", "--json", "--workers", String(workers)];
    const { stdout, stderr, status } = spawnSync(process.execPath, [...args, ...few], { encoding: "utf8" });
    expect(status, stderr).toBe(0);
    return stdout;
  };

  test.runIf(ALL)("gives the same bytes whatever their number", () => {
    expect(spread(2)).toBe(spread(1));
  });
});
