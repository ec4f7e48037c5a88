// Workers that try mutants: the tests that have killed most for their time come first; a mutant that hangs is killed.
import { availableParallelism } from "node:os";
import { Worker } from "node:worker_threads";
import { Records } from "./records.ts";
import type { Job, Word } from "./worker.ts";

/** What became of a mutant: the test that failed and what it said, or neither. */
export interface Outcome {
  readonly mutant: number;
  readonly killedBy?: string;
  readonly why?: string;
}

/** What the pool must know of a mutant: its number and that of the function it is in. */
export interface Target {
  readonly id: number;
  readonly body: number;
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

/** One worker thread, started anew after a mutant has hung in it or spoiled what its tests share. */
class Bench {
  private worker: Worker | undefined;
  private readonly start: () => Worker;
  private readonly records: Records;

  constructor(start: () => Worker, records: Records) {
    this.start = start;
    this.records = records;
  }

  private ready(): Promise<Worker> {
    const { worker } = this;
    if (worker) return Promise.resolve(worker);
    const fresh = this.start();
    this.worker = fresh;
    return new Promise((resolve, reject) => {
      fresh.once("error", reject);
      fresh.once("message", (word: Word) => {
        if (word.is === "ready") this.records.start(word.names);
        fresh.off("error", reject);
        resolve(fresh);
      });
    });
  }

  async stop(): Promise<void> {
    await this.worker?.terminate();
    this.worker = undefined;
  }

  /** Runs the tests in a fresh worker against the core without a mistake; those that fail are left out from now on. */
  async sound(order: () => readonly number[]): Promise<void> {
    await this.stop();
    await this.ready();
    const { failed } = await this.follow({ mutant: 0, order: order() });
    for (const { test } of failed) this.records.leaveOut(test);
  }

  async run({ id, body }: Target, again = false): Promise<Outcome> {
    await this.ready();
    const { failed, worn, spoiled } = await this.follow({ mutant: id, order: this.records.order(body) });
    if (worn || spoiled) await this.stop();
    if (spoiled && !again) return this.run({ id, body }, true);
    const [first] = failed;
    if (!first) return { mutant: id };
    return { mutant: id, killedBy: this.records.killedBy(first.test), why: first.why };
  }

  private follow(job: Job): Promise<End> {
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
      const hear = (word: Word): void => {
        clearTimeout(timer);
        if (word.is === "test") timer = setTimeout(() => hangs(word.test), this.records.limitMs(word.test));
        else if (word.is === "passed" && job.mutant === 0) this.records.passed(word.test, word.ms, word.seen);
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

/** What came out, and the tests that could not take part: they need others to have run before. */
export interface Trial {
  readonly outcomes: readonly Outcome[];
  readonly tests: number;
  readonly leftOut: readonly string[];
}

/** In order and in reverse: what fails in either needs another test before it, or is broken. */
async function findSound(bench: Bench, records: Records): Promise<void> {
  await bench.sound(() => records.all());
  await bench.sound(() => records.all().reverse());
  await bench.stop();
}

/** Tries all mutants on all processors with a share of each property's runs, telling each outcome as it comes. */
export async function tryAll(
  bundle: string,
  wasm: Uint8Array,
  mutants: readonly Target[],
  runsShare: number,
  tell: (outcome: Outcome) => void,
): Promise<Trial> {
  const records = new Records();
  const start = (): Worker =>
    new Worker(bundle, { workerData: { wasm, runsShare }, env: EVERYDAY, execArgv: [], stdout: true });
  const benches = Array.from({ length: availableParallelism() }, () => new Bench(start, records));
  await findSound(benches[0]!, records);
  const outcomes: Outcome[] = [];
  const queue = [...mutants];
  const work = async (bench: Bench): Promise<void> => {
    for (let next = queue.shift(); next !== undefined; next = queue.shift()) {
      const outcome = await bench.run(next);
      outcomes.push(outcome);
      tell(outcome);
    }
    await bench.stop();
  };
  await Promise.all(benches.map(work));
  return { outcomes, tests: records.count, leftOut: records.leftOut };
}
