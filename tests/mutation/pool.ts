// Workers that try mutants: the tests that have killed most for their time come first; a mutant that hangs is killed.
import { availableParallelism } from "node:os";
import { Worker } from "node:worker_threads";
import type { MutatedCore } from "./build.ts";
import { Records } from "./records.ts";
import type { Job, Passed, Word } from "./worker.ts";

/** What became of a mutant: the test that failed and what it said, or neither. */
export interface Outcome {
  readonly mutant: number;
  readonly killedBy?: string;
  readonly why?: string;
}

/** How a job ended: the test that failed, if any, and whether the worker is good for another. */
interface End {
  readonly failed: readonly { readonly test: number; readonly why: string }[];
  readonly worn: boolean;
  readonly spoiled: boolean;
}

/** Tests run as on any day, whatever the run that starts the trial; and enough random ticks to find a broken core. */
const { CI: _whole, ...rest } = process.env;
const EVERYDAY = { ...rest, HEADGATE_ORACLE_TICKS: "100000", HEADGATE_RUNS: "all" };

const THREADS = availableParallelism();

/** Processor time of all threads so far, ms. */
function processorMs(): number {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
}

/** One worker thread, started anew after a mutant has hung in it or spoiled what its tests share. */
class Bench {
  private worker: Worker | undefined;
  private readonly start: (watched: boolean) => Worker;
  private readonly records: Records;

  constructor(start: (watched: boolean) => Worker, records: Records) {
    this.start = start;
    this.records = records;
  }

  private ready(watched = false): Promise<Worker> {
    const { worker } = this;
    if (worker) return Promise.resolve(worker);
    const fresh = this.start(watched);
    this.worker = fresh;
    return new Promise((resolve, reject) => {
      fresh.once("error", reject);
      fresh.once("message", (word: Word) => {
        if (word.is === "ready") this.records.start(word.tests);
        fresh.off("error", reject);
        resolve(fresh);
      });
    });
  }

  async stop(): Promise<void> {
    await this.worker?.terminate();
    this.worker = undefined;
  }

  /**
   * Runs the tests in a fresh worker against the core without a mistake; those that fail are left out from now on. Watched,
   * it is kept which mistakes would have made a difference; else how long each test takes.
   */
  async sound(order: () => readonly number[], watched: boolean): Promise<void> {
    await this.stop();
    await this.ready(watched);
    const { failed } = await this.follow({ mutant: 0, order: order() }, ({ test, ms, seen }) =>
      watched ? this.records.saw(test, seen) : this.records.took(test, ms),
    );
    for (const { test } of failed) this.records.leaveOut(test);
    await this.stop();
  }

  async run(mutant: number, again = false): Promise<Outcome> {
    const order = this.records.order(mutant);
    if (order.length === 0) return { mutant };
    await this.ready();
    const { failed, worn, spoiled } = await this.follow({ mutant, order });
    if (worn || spoiled) await this.stop();
    if (spoiled && !again) return this.run(mutant, true);
    const [first] = failed;
    if (!first) return { mutant };
    return { mutant, killedBy: this.records.killedBy(first.test, mutant), why: first.why };
  }

  private follow(job: Job, keep?: (passed: Passed) => void): Promise<End> {
    const worker = this.worker!;
    const failed: { test: number; why: string }[] = [];
    return new Promise((resolve, reject) => {
      let timer: NodeJS.Timeout | undefined;
      const end = (worn: boolean, spoiled = false): void => {
        clearTimeout(timer);
        worker.off("message", hear).off("error", reject);
        resolve({ failed, worn, spoiled });
      };
      const hangs = (test: number): void => {
        failed.push({ test, why: "hangs" });
        end(true);
      };
      /** A slow computer is no hang: the threads must have had the processor for that long. */
      const wait = (test: number, limitMs: number, beganMs: number): void => {
        timer = setTimeout(() => {
          if (processorMs() - beganMs < THREADS * limitMs) wait(test, limitMs, beganMs);
          else hangs(test);
        }, limitMs);
      };
      const hear = (word: Word): void => {
        clearTimeout(timer);
        if (word.is === "test") wait(word.test, this.records.limitMs(word.test), processorMs());
        else if (word.is === "passed") keep?.(word);
        else if (word.is === "failed") {
          failed.push(word);
          if (job.mutant !== 0) end(word.spoiled, word.spoiled);
        } else if (word.is === "done") end(false);
      };
      worker.once("error", reject);
      worker.on("message", hear);
      worker.postMessage(job);
    });
  }
}

/** What workers are started with: their program, the rides of the second core, and the mutated core. */
type Tried = MutatedCore & { readonly bundle: string; readonly rides: string };

/** Workers that make a share of each property's runs, all tests sound in them. */
export class Pool {
  readonly records = new Records();
  readonly #benches: readonly Bench[];

  private constructor({ bundle, rides, ...core }: Tried, runsShare: number) {
    const start = (watched: boolean): Worker => {
      const wasm = watched ? core.watched : core.asleep;
      const workerData = { wasm, rides, runsShare, mutants: watched ? core.mutants.length : 0 };
      return new Worker(bundle, { workerData, env: EVERYDAY, execArgv: [], stdout: true });
    };
    this.#benches = Array.from({ length: THREADS }, () => new Bench(start, this.records));
  }

  /**
   * Runs the tests without a mistake, in order and in reverse: what fails in either needs another test before it, or is
   * broken. Given a pool that has tried the mutants, only tests take part of which that one made fewer runs.
   */
  static async start(tried: Tried, runsShare: number, after?: Pool): Promise<Pool> {
    const pool = new Pool(tried, runsShare);
    const [bench] = pool.#benches as [Bench];
    const wanted = (): number[] => (after ?? pool).records.takingPart(after !== undefined);
    await bench.sound(wanted, true);
    await bench.sound(() => wanted().reverse(), false);
    return pool;
  }

  /**
   * Tries mutants on all processors; `tell` hears of each as soon as it is known. Given another pool, what survives this one
   * is tried there as well before the next begins: what is known so far is whole.
   */
  async tryAll(mutants: readonly number[], tell: (outcome: Outcome) => void, then?: Pool): Promise<void> {
    const queue = [...mutants];
    const work = async (bench: Bench, n: number): Promise<void> => {
      for (let next = queue.shift(); next !== undefined; next = queue.shift()) {
        const outcome = await bench.run(next);
        tell(outcome.killedBy === undefined && then ? await then.#benches[n]!.run(next) : outcome);
      }
    };
    await Promise.all(this.#benches.map(work));
  }

  async stop(): Promise<void> {
    for (const bench of this.#benches) await bench.stop();
  }
}
