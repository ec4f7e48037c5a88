// Writes hardware-notes/fault-analysis.md: part by part how it fails, what answers it in which time, what is left to the person.
import { PART_FAULTS } from "../model/fault-parts.ts";
import { INTERLOCKS, interlockNumber } from "../model/interlocks.ts";
import type { PartFault } from "../model/part-fault.ts";
import { longestTime } from "./interlock-doc.ts";
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

function test({ proof }: PartFault): string {
  return proof ? `${code(`headgate prove --only ${proof[0]}`)}: ${proof[1]}` : "none: no pin shows it";
}

function line(fault: PartFault): string[] {
  const { part, failure, answer, left } = fault;
  return [part, failure, answer, answeredBy(fault), left, test(fault)];
}

/** The whole page. */
export function faultDoc(): string {
  const seen = PART_FAULTS.filter(({ proof }) => proof !== undefined).length;
  return [
    `# Fault analysis\n\n${GENERATED_NOTE}\n\n`,
    "One fault at a time: how each part fails, what the program or the circuit does about it, what is left to the person. ",
    "Two faults at once are not looked at. Nothing here has a certified safety level, and a real board shows what an emulated one cannot: ",
    "brown-out slopes, relay and valve delays, interference.\n\n",
    `Of ${PART_FAULTS.length} faults ${seen} are proved at the pins of the emulated board; the last column names the proof. `,
    "Besides, `tests/firmware/core/fault-matrix.test.ts` meets every fault of a sensor, switch, converter, driver or relay with every mode and stage state. ",
    "Times are those of [interlocks.md](../docs/interlocks.md), from the pin to all solenoid pins low; the coil's release and the valve's closing come on top.\n\n",
    table(
      ["part", "how it fails", "what happens", "answered by", "left to the person", "proof"],
      PART_FAULTS.map(line),
    ),
  ].join("");
}
