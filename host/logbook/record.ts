// Decodes one record of the run log into numbers with units and words. The schema says what each byte means.

import { LOG_COLUMNS } from "#shared-schema/link/columns.ts";
import { OUTPUT_BITS, SWITCH_BITS } from "#shared-schema/model/blocks.ts";
import { INTERLOCKS, MODES } from "#shared-schema/model/interlocks.ts";
import { type LogSample, NO_TRIP, sampleOf } from "./sample.ts";

/** Value of each column by its name: a number in the column's unit, or words. */
export type LogRecord = Readonly<Record<string, number | string>>;

/** A column of the decoded record. */
export interface LogField {
  readonly name: string;
  /** Empty for words. */
  readonly unit: string;
}

/** Name of an interlock by its number, also of one that this version does not know. */
export const lockName = (number: number): string => INTERLOCKS[number]?.id ?? `number ${number}`;
/** Name of a mode by its number. */
export const modeName = (number: number): string => MODES[number] ?? `number ${number}`;

/** Numbers of the bits that are set. */
export function bitsOf(bits: number): number[] {
  return Array.from({ length: 32 }, (_, bit) => bit).filter((bit) => (bits >>> bit) & 1);
}

const tableName =
  (table: Readonly<Record<string, number>>) =>
  (bit: number): string =>
    Object.entries(table).find(([, number]) => number === bit)?.[0] ?? `bit ${bit}`;

/** Names of switches and outputs by their bits. */
export const switchName = tableName(SWITCH_BITS);
export const outputName = tableName(OUTPUT_BITS);

const named =
  (column: string, nameOf: (bit: number) => string) =>
  (sample: LogSample): string =>
    bitsOf(sample[column] ?? 0)
      .map(nameOf)
      .join(" ");

/** Columns that are shown as words. */
const WORDS: Readonly<Record<string, (sample: LogSample) => string>> = {
  reasons: named("reasons", lockName),
  mode: ({ mode = 0 }) => modeName(mode),
  trip: ({ trip = NO_TRIP }) => (trip === NO_TRIP ? "" : lockName(trip)),
  switches: named("switches", switchName),
  outputs: named("outputs", outputName),
};

const nameOf = (name: string): string => (name === "reasonsLow" ? "reasons" : name);

/** The columns of a record, in order; both halves of the reasons are one. */
export const LOG_FIELDS: readonly LogField[] = LOG_COLUMNS.filter(({ name }) => name !== "reasonsHigh").map(
  ({ name, unit }) => ({ name: nameOf(name), unit }),
);

/** Decodes the bytes of a record into values by the names of `LOG_FIELDS`. */
export function decodeRecord(bytes: Uint8Array): LogRecord {
  const sample = sampleOf(bytes);
  return Object.fromEntries(LOG_FIELDS.map(({ name }) => [name, WORDS[name]?.(sample) ?? sample[name] ?? 0]));
}
