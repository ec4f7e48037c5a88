// What `npm run circuit` found for a fault, in words for the fault analysis, read from the two files that it keeps.
import { readFileSync } from "node:fs";
import { join } from "node:path";

interface Kept {
  /** Outcome of each fault of way 2, in words. */
  readonly outcomes: Readonly<Record<string, string>>;
  readonly rows: readonly { readonly name: string; readonly [key: string]: string | number | undefined }[];
}

interface Exceptions {
  readonly exceptions: readonly {
    readonly fault: string;
    readonly scene: string;
    readonly outcome: string;
  }[];
}

const read = <T>(name: string): T =>
  JSON.parse(readFileSync(join(import.meta.dirname, "../../hardware-notes", name), "utf8")) as T;
const TIMES = read<Kept>("circuit-times.json");
const DIRECT = read<Exceptions>("circuit-faults.json");

function ofDriver(fault: string): string | undefined {
  const row = TIMES.rows.find(({ name }) => name === `driver, ${fault}`);
  if (!row) return undefined;
  if (Math.abs(Number(row.settledA)) < 0.2) return "its coil gets no current that opens a valve";
  const release =
    row.releaseS === undefined
      ? "is not ended by its driver"
      : `ends in ${(1000 * Number(row.releaseS)).toFixed(1)} ms`;
  return `the coil's current ${release}, the drain reaches ${Number(row.peakV).toFixed(0)} V`;
}

/** No coil with the arm switch off or the processor in reset, unless it is one of the exceptions. */
function byDirectCurrent(fault: string): string {
  const found = DIRECT.exceptions.filter((one) => one.fault === fault);
  return found.length === 0
    ? "no coil has current with the arm switch off or the processor in reset"
    : found.map(({ scene, outcome }) => `${outcome} with ${scene}`).join(", ");
}

/** Outcome of a fault: in time where it was solved in time, else by direct current. */
export const outcomeOf = (fault: string): string =>
  TIMES.outcomes[fault] ?? ofDriver(fault) ?? byDirectCurrent(fault);
