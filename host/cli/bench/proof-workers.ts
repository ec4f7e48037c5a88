// A proof on several processors: rows are handed to workers, the longest first; the findings do not depend on their number.
import { existsSync } from "node:fs";
import { availableParallelism } from "node:os";
import { join } from "node:path";
import { Worker } from "node:worker_threads";
import { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { type Finding, faultsByRow, inCatalogueOrder, prove } from "#host/bench/prove/prove.ts";
import { boardClient } from "./board-client.ts";
import type { ProofJob, ProofWord } from "./proof-job.ts";

/** Which rows (all when left out), on how many workers (a processor each when left out), and who hears of progress. */
export interface ProofOrder extends ProofJob {
  readonly only?: readonly string[] | undefined;
  readonly workers?: number | undefined;
  readonly onProgress: (done: number, all: number) => void;
}

/** Beside the bundle. Node cannot start a worker from the TypeScript sources: there everything runs in this thread. */
const WORKER = join(import.meta.dirname, "proof-worker.js");

/** Has a worker prove a row; `step` is called after each fault. */
function proveRow(worker: Worker, row: string, step: () => void): Promise<readonly Finding[]> {
  return new Promise((resolve, reject) => {
    const hear = (word: ProofWord): void => {
      if (word.is === "fault") step();
      else {
        worker.off("message", hear).off("error", reject);
        resolve(word.findings);
      }
    };
    worker.on("message", hear).on("error", reject);
    worker.postMessage(row);
  });
}

async function proveOnWorkers(
  order: ProofOrder,
  rows: ReadonlyMap<string, number>,
  count: number,
): Promise<Finding[]> {
  const { document, image, elf, onProgress } = order;
  const all = [...rows.values()].reduce((sum, faults) => sum + faults, 0);
  const queue = [...rows].sort(([, a], [, b]) => b - a).map(([row]) => row);
  const found = new Map<string, readonly Finding[]>();
  let done = 0;
  const step = (): void => onProgress(++done, all);
  const work = async (worker: Worker): Promise<void> => {
    for (let row = queue.shift(); row !== undefined; row = queue.shift())
      found.set(row, await proveRow(worker, row, step));
  };
  const workers = Array.from(
    { length: count },
    () => new Worker(WORKER, { workerData: { document, image, elf } }),
  );
  try {
    onProgress(0, all);
    await Promise.all(workers.map(work));
  } finally {
    await Promise.all(workers.map((worker) => worker.terminate()));
  }
  return inCatalogueOrder(found, order.only ? { only: order.only } : {});
}

/** Proves rows on as many workers as wanted. */
export function proveRows(order: ProofOrder): Promise<Finding[]> {
  const only = order.only ? { only: order.only } : {};
  const rows = faultsByRow(only);
  const count = Math.min(order.workers ?? availableParallelism(), rows.size);
  if (count > 1 && existsSync(WORKER)) return proveOnWorkers(order, rows, count);
  const { document, image, elf, onProgress } = order;
  const makeBoard = (): EmulatedBoard => new EmulatedBoard({ image, elf });
  return prove(document, { makeBoard, openClient: boardClient, onProgress, ...only });
}
