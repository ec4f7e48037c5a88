// Writes hardware-notes/fault-analysis.md: part by part how it fails, what answers it in which time, what is left to the person.
import { PART_FAULTS } from "../model/fault-parts.ts";
import { FAULT_RUNS } from "../model/fault-runs.ts";
import { longestTime } from "../model/interlock-text.ts";
import { INTERLOCKS, interlockNumber } from "../model/interlocks.ts";
import type { PartFault } from "../model/part-fault.ts";
import { outcomeOf } from "./circuit-results.ts";
import { code, GENERATED_NOTE, table } from "./markdown.ts";

function answeredBy({ rows }: PartFault): string {
  if (rows.length === 0) return "the circuit";
  return rows
    .map((id) => {
      const row = INTERLOCKS[interlockNumber(id)]!;
      return `**${id}**, ${row.reaction}, ${row.withinUs === undefined ? "before flow" : longestTime(row)}`;
    })
    .join("; ");
}

/** Results of the simulated faults behind a row, equal ones together. */
function simulated({ part, failure }: PartFault): string {
  const faults = FAULT_RUNS.find(([a, b]) => a === part && b === failure)?.[2] ?? [];
  const groups = new Map<string, string[]>();
  for (const fault of faults) groups.set(outcomeOf(fault), [...(groups.get(outcomeOf(fault)) ?? []), fault]);
  return [...groups].map(([outcome, names]) => `; simulated (${names.join(", ")}): ${outcome}`).join("");
}

function shown({ proof, circuit, rows }: PartFault, more: string): string {
  if (proof) return `${code(`headgate prove --only ${proof[0]}`)}: ${proof[1]}`;
  if (circuit && more !== "") return code(circuit);
  if (circuit) return `computed: ${code(circuit)}`;
  if (more !== "") return "by reasoning";
  return rows.length ? "none: by reasoning" : "none: no pin shows it";
}

const proofs = (fault: PartFault): string => `${shown(fault, simulated(fault))}${simulated(fault)}`;

function line(fault: PartFault): string[] {
  const { part, failure, answer, left } = fault;
  return [part, failure, answer, answeredBy(fault), left, proofs(fault)];
}

/** The whole page. */
export function faultDoc(): string {
  const seen = PART_FAULTS.filter(({ proof }) => proof !== undefined).length;
  const computed = PART_FAULTS.filter(
    (fault) => fault.proof === undefined && (fault.circuit !== undefined || simulated(fault) !== ""),
  ).length;
  return [
    `# Fault analysis\n\n${GENERATED_NOTE}\n\n`,
    "This page takes one fault at a time: how each part fails, what the program or the circuit does about it, and what is left to the person. ",
    "It does not look at two faults at once. Nothing here has a certified safety level, and a real board shows what an emulated one cannot: ",
    "brown-out slopes, relay and valve delays, interference. References such as D5 are listed in [parts.md](parts.md).\n\n",
    `Of ${PART_FAULTS.length} faults ${seen} are proved at the pins of the emulated board, and ${computed} more are computed or simulated in the circuit, with the values of these notes; `,
    "the last column names the proof, and what `npm run circuit` found for the faults that it names. Where it says none, the row is reasoning, and nobody has seen it. ",
    "Besides, `tests/firmware/core/fault-matrix.test.ts` puts every fault of a sensor, switch, converter, driver or relay together with every mode and stage state. ",
    "The times are those of [interlocks.md](../docs/interlocks.md), from the pin to all solenoid pins low; the release of the coil and the closing of the valve come on top.\n\n",
    table(
      ["part", "how it fails", "what happens", "answered by", "left to the person", "proof"],
      PART_FAULTS.map(line),
    ),
  ].join("");
}
