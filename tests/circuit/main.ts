// `npm run circuit`: puts every single fault of parts and wires into every scene, says which coil carries current, and keeps the result
// in hardware-notes/circuit-faults.json with the hash of circuit and models. `--every N` tries a sample and keeps nothing.
import { writeFileSync } from "node:fs";
import { parseArgs } from "node:util";
import { CIRCUIT } from "#shared-schema/circuit/circuit.ts";
import { value } from "../hardware-notes/values.ts";
import { faultsOf } from "./faults.ts";
import { SCENES } from "./judge.ts";
import { type Exception, hashOf, RESULTS, type Results, tryFault } from "./results.ts";

const { values } = parseArgs({ options: { every: { type: "string", default: "1" } } });
const every = Number(values.every);
if (!Number.isInteger(every) || every < 1)
  throw new Error(`--every ${values.every} is not a whole number from 1 on: 10 tries every tenth fault`);
const TELL_EVERY = 100;

const say = (text: string): unknown => process.stdout.write(`${text}\n`);

function main(): void {
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
  say(
    `circuit: ${parts.length} parts, ${wires.length} wires, ${faults.length} faults in ${scenes} scenes: ` +
      `${exceptions.length - unnamed} with current by the one fault that is named, ${unnamed} others; ${restless.length} never come to rest`,
  );
  process.exitCode = unnamed === 0 ? 0 : 1;
}

main();
