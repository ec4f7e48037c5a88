// Tasks on several processors: each worker is given one task after the other, until none is left or the user interrupts.
import { existsSync } from "node:fs";
import { availableParallelism } from "node:os";
import { join } from "node:path";
import { Worker } from "node:worker_threads";

/** What is to be done. `hear` is told each word of a worker about a task, and says whether the task is done with it. */
export interface PoolOrder<Task, Word> {
  /** Name of the worker's program beside the bundle. */
  readonly program: string;
  /** Given to every worker at its start. */
  readonly data: unknown;
  readonly tasks: readonly Task[];
  readonly count: number;
  readonly hear: (task: Task, word: Word) => boolean;
  readonly signal?: AbortSignal | undefined;
}

/** Where the program of a worker lies, beside the bundle. */
export const programPath = (program: string): string => join(import.meta.dirname, `${program}.js`);

/** How many workers to use, at most one for each task. Node cannot start a worker from the TypeScript sources: there it is 1. */
export function workersFor(program: string, wanted: number | undefined, tasks: number): number {
  return existsSync(programPath(program)) ? Math.min(wanted ?? availableParallelism(), tasks) : 1;
}

/** Has a worker do a task. */
function doTask<Task, Word>(worker: Worker, task: Task, hear: PoolOrder<Task, Word>["hear"]): Promise<void> {
  return new Promise((resolve, reject) => {
    const listen = (word: Word): void => {
      if (!hear(task, word)) return;
      worker.off("message", listen).off("error", reject);
      resolve();
    };
    worker.on("message", listen).on("error", reject);
    worker.postMessage(task);
  });
}

/** Settles when the user interrupts; never without a signal. */
function interrupted(signal: AbortSignal | undefined): Promise<void> {
  return new Promise((resolve) => {
    if (signal?.aborted) resolve();
    else signal?.addEventListener("abort", () => resolve(), { once: true });
  });
}

/** Does all tasks. An interruption ends it at once; what was heard by then is heard. */
export async function onWorkers<Task, Word>(order: PoolOrder<Task, Word>): Promise<void> {
  const { program, data, tasks, count, hear, signal } = order;
  const queue = [...tasks];
  const work = async (worker: Worker): Promise<void> => {
    for (let task = queue.shift(); task !== undefined && !signal?.aborted; task = queue.shift())
      await doTask(worker, task, hear);
  };
  const workers = Array.from({ length: count }, () => new Worker(programPath(program), { workerData: data }));
  try {
    await Promise.race([Promise.all(workers.map(work)), interrupted(signal)]);
  } finally {
    await Promise.all(workers.map((worker) => worker.terminate()));
  }
}
