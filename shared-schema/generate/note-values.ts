// The numbers of hardware-notes for generated pages, read from their one file.
import { readFileSync } from "node:fs";
import { join } from "node:path";

interface NoteValue {
  readonly value: number;
  readonly written: string;
}

const FILE = join(import.meta.dirname, "../../hardware-notes/values.json");
const ALL = JSON.parse(readFileSync(FILE, "utf8")) as Readonly<Record<string, NoteValue>>;

function noteValue(key: string): NoteValue {
  const found = ALL[key];
  if (found === undefined) throw new Error(`no value ${key} in hardware-notes/values.json`);
  return found;
}

/** A number as the pages write it: `4.7 kohm`. */
export const written = (key: string): string => noteValue(key).written;
/** A number in SI units. */
export const si = (key: string): number => noteValue(key).value;
