// The numbers of hardware-notes, read from their one file.
import { readFileSync } from "node:fs";
import { join } from "node:path";

/** One number: SI value, how the pages write it, where it comes from, what it is. */
export interface Value {
  readonly value: number;
  readonly written: string;
  readonly source: string;
  readonly what: string;
}

const FOLDER = join(import.meta.dirname, "../../hardware-notes");

/** Text of a file of hardware-notes. */
export const noteText = (name: string): string => readFileSync(join(FOLDER, name), "utf8");

/** All numbers by key. */
export const VALUES: Readonly<Record<string, Value>> = JSON.parse(noteText("values.json"));

/** SI value of a key. Throws on an unknown key. */
export function value(key: string): number {
  const found = VALUES[key];
  if (found === undefined) throw new Error(`no value ${key}`);
  return found.value;
}
