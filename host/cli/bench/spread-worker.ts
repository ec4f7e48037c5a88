// A worker of a spread: drives the runs that it is sent, one after the other, on core rigs of its own.
import { parentPort, workerData } from "node:worker_threads";
import { spreadRun } from "#host/bench/loop/spread.ts";
import { carOf, type SpreadJob } from "./spread-job.ts";

const job = workerData as SpreadJob;
const car = carOf(job);
const port = parentPort!;

port.on("message", (runs: readonly number[]) => {
  for (const run of runs) port.postMessage(spreadRun(car, job.plan, run));
});
