// Runs the collected tests against one mutant after the other, until one fails; what a mutant spoiled for the next is told.
import { parentPort } from "node:worker_threads";
import { type Collected, collected } from "./collect.ts";
import { startSeeing, stopSeeing, wake } from "./core.ts";

/** To the worker: a mutant and the order of tests; 0 is the core without a mistake, which every test is run against. */
export interface Job {
  readonly mutant: number;
  readonly order: readonly number[];
}

/** What is told of a test before it runs. */
export type Told = Pick<Collected, "name" | "fewerRuns">;

/** A test that did not fail, how long it took, and the bits of what it saw. */
export interface Passed {
  readonly is: "passed";
  readonly test: number;
  readonly ms: number;
  readonly seen: readonly number[];
}

/** From the worker: `ready` with the tests, `test` before each, `done` with the test that failed, if any. */
export type Word =
  | { readonly is: "ready"; readonly tests: readonly Told[] }
  | { readonly is: "test"; readonly test: number }
  | Passed
  | { readonly is: "failed"; readonly test: number; readonly why: string; readonly spoiled: boolean }
  | { readonly is: "done" };

const port = parentPort!;
const say = (word: Word): void => port.postMessage(word);
process.stdout.write = () => true;

let seen: number[] = [];

async function failure(index: number): Promise<string | undefined> {
  say({ is: "test", test: index });
  const began = performance.now();
  startSeeing();
  try {
    await collected[index]!.run();
  } catch (error) {
    return String(error).slice(0, 200);
  } finally {
    seen = stopSeeing();
  }
  say({ is: "passed", test: index, ms: performance.now() - began, seen });
  return undefined;
}

/** Tests of one file may share a core or a chip: does the test fail without the mistake too, now? */
async function isSpoiled(test: number): Promise<boolean> {
  wake(0);
  return (await failure(test)) !== undefined;
}

async function run({ mutant, order }: Job): Promise<void> {
  for (const test of order) {
    wake(mutant);
    const why = await failure(test);
    if (why === undefined) continue;
    say({ is: "failed", test, why, spoiled: mutant !== 0 && (await isSpoiled(test)) });
    if (mutant !== 0) return;
  }
  say({ is: "done" });
}

port.on("message", (job: Job) => void run(job));
say({ is: "ready", tests: collected.map(({ name, fewerRuns }) => ({ name, fewerRuns })) });
