// A process that solves its part of the jobs, `worker.ts PART OF`, and sends each row to the one that started it.
import { CIRCUIT } from "#shared-schema/circuit/circuit.ts";
import { value } from "../../hardware-notes/values.ts";
import { jobsOf, solveJob } from "./times.ts";

const [part = 0, of = 1] = process.argv.slice(2).map(Number);
const jobs = jobsOf(CIRCUIT, value);
for (let i = part; i < jobs.length; i += of) {
  const row = await solveJob(jobs[i]!, value);
  await new Promise((sent) => process.send!({ i, row }, sent));
}
process.exit(0);
