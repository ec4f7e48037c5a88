// Solves all jobs on all processors.
import { fork } from "node:child_process";
import { availableParallelism } from "node:os";
import { fileURLToPath } from "node:url";
import { CIRCUIT } from "#shared-schema/circuit/circuit.ts";
import { value } from "../../hardware-notes/values.ts";
import { jobsOf, type Row } from "./times.ts";

/** Rows in the order of the jobs; `told` hears how many are done. Fails when one cannot be solved. */
export async function solveAll(told: (done: number, all: number) => void): Promise<Row[]> {
  const { length } = jobsOf(CIRCUIT, value);
  const rows: Row[] = Array(length);
  const of = availableParallelism();
  let done = 0;
  const file = fileURLToPath(new URL("worker.ts", import.meta.url));
  const one = (part: number): Promise<void> =>
    new Promise((resolve, reject) => {
      const worker = fork(file, [String(part), String(of)], { execArgv: ["--import", "tsx"] });
      worker.on("message", ({ i, row }: { i: number; row: Row }) => {
        rows[i] = row;
        told(++done, length);
      });
      worker.on("error", reject);
      worker.on("exit", () => resolve());
    });
  await Promise.all(Array.from({ length: of }, (_, part) => one(part)));
  if (done < length) throw new Error(`only ${done} of ${length} runs in time came to an end`);
  return rows;
}
