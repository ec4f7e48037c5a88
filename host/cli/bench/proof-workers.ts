// A proof on several processors: rows are handed to workers, the longest first; the findings do not depend on their number.
import { setImmediate } from "node:timers/promises";
import { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { type Finding, faultsByRow, inCatalogueOrder, prove } from "#host/bench/prove/prove.ts";
import { Failure } from "#host/errors/failure.ts";
import { boardClient } from "./board-client.ts";
import type { ProofJob, ProofWord } from "./proof-job.ts";
import { onWorkers, workersFor } from "./worker-pool.ts";

/** Which rows (all when left out), on how many workers (a processor each when left out), who hears of progress, and what interrupts it. */
export interface ProofOrder extends ProofJob {
  readonly only?: readonly string[] | undefined;
  readonly workers?: number | undefined;
  readonly onProgress: (done: number, all: number) => void;
  readonly signal: AbortSignal;
}

const PROGRAM = "proof-worker";

/** Lets in what waits, Ctrl-C for one. Fails with `interrupted` after it: half a proof proves nothing. */
async function unlessInterrupted(signal: AbortSignal): Promise<void> {
  await setImmediate();
  if (signal.aborted) throw new Failure("interrupted");
}

async function proveOnWorkers(
  order: ProofOrder,
  rows: ReadonlyMap<string, number>,
  count: number,
): Promise<Finding[]> {
  const { document, image, elf, onProgress, signal } = order;
  const all = [...rows.values()].reduce((sum, faults) => sum + faults, 0);
  const tasks = [...rows].sort(([, a], [, b]) => b - a).map(([row]) => row);
  const found = new Map<string, readonly Finding[]>();
  let done = 0;
  onProgress(0, all);
  const hear = (row: string, word: ProofWord): boolean => {
    if (word.is === "row") found.set(row, word.findings);
    else onProgress(++done, all);
    return word.is === "row";
  };
  await onWorkers({ program: PROGRAM, data: { document, image, elf }, tasks, count, hear, signal });
  await unlessInterrupted(signal);
  return inCatalogueOrder(found, order.only ? { only: order.only } : {});
}

/** Proves rows on as many workers as wanted. */
export function proveRows(order: ProofOrder): Promise<Finding[]> {
  const only = order.only ? { only: order.only } : {};
  const rows = faultsByRow(only);
  const count = workersFor(PROGRAM, order.workers, rows.size);
  if (count > 1) return proveOnWorkers(order, rows, count);
  const { document, image, elf, onProgress, signal } = order;
  const between = (): Promise<void> => unlessInterrupted(signal);
  const makeBoard = (): EmulatedBoard => new EmulatedBoard({ image, elf });
  return prove(document, { makeBoard, openClient: boardClient, onProgress, between, ...only });
}
