// One trial: the tests of the control core in a bundle, the core with its mutants, and what became of each.
import { mkdirSync, readdirSync, rmSync } from "node:fs";
import { join } from "node:path";
import { type MutatedCore, mutatedCore } from "./build.ts";
import { bundleTests } from "./bundle.ts";
import { type Outcome, Pool } from "./pool.ts";
import { recordRides } from "./record-rides.ts";
import type { Mutant } from "./schemata.ts";

const ROOT = join(import.meta.dirname, "../..");
const CACHE = join(ROOT, "node_modules/.cache/headgate-mutation");
const FOLDERS = [
  "tests/shared-schema/rules",
  "tests/shared-schema/settings",
  "tests/firmware/core",
  "tests/firmware/storage",
  "tests/firmware/link",
];
/** Those that run the released image, or compile a core of their own. */
const NOT_THESE = /board-cuts|storage-page|damage|noisy-board|raised-speed|exploration|module\.test/;

/** Tests that stand here: what a second core said. */
const SECOND_CORE = "tests/mutation/second-core.ts";

/** All that a trial needs. */
export interface Prepared extends MutatedCore {
  readonly bundle: string;
  readonly rides: string;
}

/** Test files of a folder. A folder without any has been moved, and its tests would silently be missing from the score. */
function testsIn(folder: string): string[] {
  const found = readdirSync(join(ROOT, folder)).filter(
    (name) => name.endsWith(".test.ts") && !NOT_THESE.test(name),
  );
  if (found.length === 0)
    throw new Error(`${folder} has no tests; correct FOLDERS in tests/mutation/trial.ts`);
  return found.map((name) => `${folder}/${name}`);
}

/** Bundles the tests, compiles the core twice, and lets the tick in C ride. Takes some forty seconds, and the cross-compiler. */
export async function prepareTrial(): Promise<Prepared> {
  const files = [...FOLDERS.flatMap(testsIn), SECOND_CORE];
  mkdirSync(CACHE, { recursive: true });
  const [bundle, rides] = ["worker.mjs", "rides.bin"].map((name) =>
    join(CACHE, `${process.pid}-${name}`),
  ) as [string, string];
  await bundleTests(files, bundle);
  const core = await mutatedCore();
  recordRides(core.asleep, rides);
  return { bundle, rides, ...core };
}

/** Takes away what a trial has written. */
function tidy({ bundle, rides }: Prepared): void {
  rmSync(bundle);
  rmSync(rides);
}

/** A first pass makes a part of the runs of each property; only what survives it meets all of them, and no other test again. */
const FIRST_SHARE = 0.2;

/** The tests that took part, and those that could not: they need others to have run before. */
export interface Trial {
  readonly tests: number;
  readonly leftOut: readonly string[];
}

const about = ({ records }: Pool): Trial => ({ tests: records.count, leftOut: records.leftOut });

/** The first pass alone, for a sample that may be judged more kindly: `tell` hears of each mutant as soon as it is known. */
export async function tryBriefly(
  prepared: Prepared,
  chosen: readonly Mutant[],
  tell: (outcome: Outcome) => void,
): Promise<Trial> {
  const pool = await Pool.start(prepared, FIRST_SHARE);
  try {
    await pool.tryAll(
      chosen.map(({ id }) => id),
      tell,
    );
    return about(pool);
  } finally {
    await pool.stop();
    tidy(prepared);
  }
}

/** Tries some of the mutants, in their order; `tell` hears of each as soon as it is known. */
export async function tryMutants(
  prepared: Prepared,
  chosen: readonly Mutant[],
  tell: (outcome: Outcome) => void,
): Promise<Trial> {
  const first = await Pool.start(prepared, FIRST_SHARE);
  const second = await Pool.start(prepared, 1, first);
  try {
    const ids = chosen.map(({ id }) => id);
    await first.tryAll(ids, tell, second);
    return about(first);
  } finally {
    await first.stop();
    await second.stop();
    tidy(prepared);
  }
}
