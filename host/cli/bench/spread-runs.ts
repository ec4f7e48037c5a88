// The runs of a spread on several processors; the runs do not depend on their number.
import { type SpreadRun, spreadRun } from "#host/bench/loop/spread.ts";
import { carOf, type SpreadJob } from "./spread-job.ts";
import { onWorkers, workersFor } from "./worker-pool.ts";

/** Which runs, on how many workers, and who hears of each that is done. */
export interface SpreadOrder {
  readonly job: SpreadJob;
  readonly runs: readonly number[];
  readonly workers: number | undefined;
  readonly done: (run: SpreadRun) => void;
  readonly signal: AbortSignal;
}

const PROGRAM = "spread-worker";
/** Runs that a worker is sent together: its answers cost little beside them. */
const TOGETHER = 4;

function inPieces(runs: readonly number[]): number[][] {
  const pieces: number[][] = [];
  for (let at = 0; at < runs.length; at += TOGETHER) pieces.push(runs.slice(at, at + TOGETHER));
  return pieces;
}

/** In this thread; an interruption is noticed between two runs. */
async function here({ job, runs, done, signal }: SpreadOrder): Promise<void> {
  const car = carOf(job);
  for (const run of runs) {
    if (signal.aborted) return;
    done(spreadRun(car, job.plan, run));
    await new Promise((resolve) => setImmediate(resolve));
  }
}

/** Drives the runs; ends early when the user interrupts. */
export async function driveRuns(order: SpreadOrder): Promise<void> {
  const { job, runs, done, signal } = order;
  const tasks = inPieces(runs);
  const count = workersFor(PROGRAM, order.workers, tasks.length);
  if (count <= 1) return here(order);
  const hear = (task: readonly number[], run: SpreadRun): boolean => {
    done(run);
    return run.run === task.at(-1);
  };
  await onWorkers({ program: PROGRAM, data: job, tasks, count, hear, signal });
}
