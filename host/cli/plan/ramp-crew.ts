// The workers of a proof of ramps: started once, so that what they have compiled serves all axes, and fed with ladders of runs.
import { Worker } from "node:worker_threads";
import type { SpreadRun } from "#host/bench/loop/spread.ts";
import { programPath, workersFor } from "../bench/worker-pool.ts";
import { drivenLadder, type Ladder } from "./ramp-ladder.ts";

const PROGRAM = "ramp-worker";
/** More ladders than a proof ever has waiting. */
const MANY = 64;

interface Waiting {
  readonly ladder: Ladder;
  readonly resolve: (runs: SpreadRun[]) => void;
  readonly reject: (error: Error) => void;
}

/** Drives ladders: on workers, or in this thread where only one is wanted or none can be started. */
export class RampCrew {
  private readonly workers: Worker[];
  private readonly idle: Worker[];
  private readonly queue: Waiting[] = [];
  private readonly signal: AbortSignal;

  constructor(wanted: number | undefined, signal: AbortSignal) {
    const count = workersFor(PROGRAM, wanted, MANY);
    this.workers = count <= 1 ? [] : Array.from({ length: count }, () => new Worker(programPath(PROGRAM)));
    this.idle = [...this.workers];
    this.signal = signal;
  }

  /** Runs of a ladder. None once the user has interrupted. */
  async drive(ladder: Ladder): Promise<SpreadRun[]> {
    if (this.workers.length > 0) return this.send(ladder);
    await new Promise((resolve) => setImmediate(resolve));
    return this.signal.aborted ? [] : drivenLadder(ladder);
  }

  private send(ladder: Ladder): Promise<SpreadRun[]> {
    return new Promise((resolve, reject) => {
      this.queue.push({ ladder, resolve, reject });
      this.feed();
    });
  }

  private feed(): void {
    while (this.idle.length > 0 && this.queue.length > 0) this.give(this.idle.pop()!, this.queue.shift()!);
  }

  /** Has a worker drive a ladder, then the next; an interruption ends the waiting, not the worker. */
  private give(worker: Worker, { ladder, resolve, reject }: Waiting): void {
    const over = (runs: SpreadRun[]): void => {
      worker.off("message", over).off("error", reject);
      this.signal.removeEventListener("abort", stopped);
      resolve(runs);
      this.idle.push(worker);
      this.feed();
    };
    const stopped = (): void => over([]);
    if (this.signal.aborted) {
      over([]);
      return;
    }
    worker.on("message", over).on("error", reject);
    this.signal.addEventListener("abort", stopped);
    worker.postMessage(ladder);
  }

  /** Ends the workers. */
  async end(): Promise<void> {
    await Promise.all(this.workers.map((worker) => worker.terminate()));
  }
}
