// `npm run circuit`: puts every single fault of parts and wires into every scene, says which coil carries current, and keeps the result
// in hardware-notes/circuit-faults.json with the hash of circuit and models; then solves driver and way 2 in time and keeps that in
// circuit-times.json and circuit-times.md; then says of each fault once found what it did and what it does. `--every N` tries a sample
// of the faults, and keeps nothing.
import { writeFileSync } from "node:fs";
import { parseArgs } from "node:util";
import { CIRCUIT, nets } from "#shared-schema/circuit/circuit.ts";
import { value } from "../hardware-notes/values.ts";
import { faultsOf } from "./faults.ts";
import { SCENES } from "./judge.ts";
import { foundLine, foundOnce } from "./once.ts";
import { type Exception, hashOf, RESULTS, type Results, tryFault } from "./results.ts";
import {
  endsLate,
  keptOf,
  pumpFaults,
  pumpOutcome,
  readTimes,
  TIMES,
  TIMES_PAGE,
  timesHash,
} from "./spice/kept.ts";
import { timesPage } from "./spice/page.ts";
import { solveAll } from "./spice/solve-all.ts";

const { values } = parseArgs({ options: { every: { type: "string", default: "1" } } });
const every = Number(values.every);
if (!Number.isInteger(every) || every < 1)
  throw new Error(`--every ${values.every} is not a whole number from 1 on: 10 tries every tenth fault`);
const TELL_EVERY = 100;

const say = (text: string): unknown => process.stdout.write(`${text}\n`);

/** Everything in time; returns how many runs there were, and the faults that keep relay or coil longer than is stated. */
async function inTime(): Promise<{ runs: number; late: string[] }> {
  const before = timesHash(CIRCUIT, value);
  const rows = await solveAll((done, all) => {
    if (done % TELL_EVERY === 0) say(`${done} of ${all} runs in time`);
  });
  const times = { ...keptOf(CIRCUIT, rows, value), hash: before };
  writeFileSync(TIMES, `${JSON.stringify(times, null, 1)}\n`);
  writeFileSync(TIMES_PAGE, timesPage(times, value));
  const late = [
    ...pumpFaults(rows).filter((fault) => pumpOutcome(rows, fault, value) === "lets go late"),
    ...endsLate(rows, value),
  ];
  return { runs: rows.length, late };
}

/** Says what became of each fault that the circuit once had, and sums them up. */
async function once(): Promise<{ text: string; unmet: number }> {
  const found = await foundOnce(value, readTimes().rows);
  for (const one of found) say(foundLine(one));
  const still = found.filter(({ now }) => now.bad);
  const unmet = still.filter(({ answer }) => answer === undefined).length;
  const were = found.filter(({ was }) => was.bad).length;
  return {
    text: `${found.length} faults found once, ${were} of them bad then and ${still.length} now, ${unmet} of these without an answer`,
    unmet,
  };
}

async function main(): Promise<void> {
  // Of the sources as they are now: whoever edits them while this runs must run it again.
  const hash = hashOf(CIRCUIT, value);
  const faults = faultsOf(CIRCUIT).filter((_, i) => i % every === 0);
  const exceptions: Exception[] = [];
  const restless: string[] = [];
  faults.forEach((fault, i) => {
    const { found, restless: some } = tryFault(CIRCUIT, fault, value);
    if (some > 0) restless.push(fault.name);
    for (const one of found) say(`${one.fault}; ${one.scene}: ${one.outcome}${one.named ? " (named)" : ""}`);
    exceptions.push(...found);
    if (i % TELL_EVERY === TELL_EVERY - 1) say(`${i + 1} of ${faults.length} faults`);
  });
  const { parts, wires } = CIRCUIT;
  const scenes = Object.keys(SCENES).length;
  const results: Results = {
    hash,
    faults: faults.length,
    scenes,
    restless,
    exceptions,
  };
  if (every === 1) writeFileSync(RESULTS, `${JSON.stringify(results, null, 2)}\n`);
  const unnamed = exceptions.filter(({ named }) => !named).length;
  const timed = every === 1 ? await inTime() : { runs: 0, late: [] };
  const { text, unmet } = await once();
  say(
    `circuit: ${parts.length} parts, ${nets(CIRCUIT).size} nets, ${wires.length} wires, ${faults.length} faults in ${scenes} scenes: ` +
      `${exceptions.length - unnamed} with current by the one fault that is named, ${unnamed} others; ${restless.length} never come to rest; ` +
      `${timed.runs} runs in time, later than stated and not found at arming: ${timed.late.join(", ") || "none"}; ${text}`,
  );
  process.exitCode = unnamed === 0 && unmet === 0 ? 0 : 1;
}

await main();
