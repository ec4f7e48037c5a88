// Runs of one car in their order, which may end with the first that spins: what is sent to a worker as a whole.
import { type SpreadRun, spreadRun } from "#host/bench/loop/spread.ts";
import { carOf, type SpreadJob } from "../bench/spread-job.ts";

/** Numbers of the runs, in the order in which they are driven. */
export interface Ladder {
  readonly job: SpreadJob;
  readonly runs: readonly number[];
  /** No run is driven after one in which a wheel went beyond the slip of the best grip. */
  readonly untilSpin: boolean;
}

/** Drives it. */
export function drivenLadder({ job, runs, untilSpin }: Ladder): SpreadRun[] {
  const car = carOf(job);
  const driven: SpreadRun[] = [];
  for (const run of runs) {
    const seen = spreadRun(car, job.plan, run);
    driven.push(seen);
    if (untilSpin && seen.overPeakS > 0) break;
  }
  return driven;
}
