// Decodes one record of the run log into numbers with units and words. The schema says what each byte means.

import { LOG_COLUMNS } from "#shared-schema/link/columns.ts";
import { OUTPUT_BITS, SWITCH_BITS } from "#shared-schema/model/blocks.ts";
import { INTERLOCKS, MODES } from "#shared-schema/model/interlocks.ts";

/** Value of each column by its name: a number in the column's unit, or words. */
export type LogRecord = Readonly<Record<string, number | string>>;

/** A column of the decoded record. */
export interface LogField {
  readonly name: string;
  /** Empty for words. */
  readonly unit: string;
}

const NO_TRIP = 255;
/** Decimal places of the finest scale. Products of scale and count are rounded to this. */
const PLACES = 3;

const lockName = (number: number): string => INTERLOCKS[number]?.id ?? `number ${number}`;

function bitNames(bits: number, nameOf: (bit: number) => string): string {
  const set = Array.from({ length: 32 }, (_, bit) => bit).filter((bit) => (bits >>> bit) & 1);
  return set.map(nameOf).join(" ");
}

const tableName =
  (table: Readonly<Record<string, number>>) =>
  (bit: number): string =>
    Object.entries(table).find(([, number]) => number === bit)?.[0] ?? `bit ${bit}`;

type Raw = Readonly<Record<string, number>>;

/** Columns that are shown as words. `reasonsHigh` becomes part of `reasons`. */
const WORDS: Readonly<Record<string, (raw: Raw) => string>> = {
  reasonsLow: ({ reasonsLow = 0, reasonsHigh = 0 }) => bitNames(reasonsLow | (reasonsHigh << 16), lockName),
  mode: ({ mode = 0 }) => MODES[mode] ?? `number ${mode}`,
  trip: ({ trip = 0 }) => (trip === NO_TRIP ? "" : lockName(trip)),
  switches: ({ switches = 0 }) => bitNames(switches, tableName(SWITCH_BITS)),
  outputs: ({ outputs = 0 }) => bitNames(outputs, tableName(OUTPUT_BITS)),
};

const NAMES: Readonly<Record<string, string>> = { reasonsLow: "reasons" };
const SHOWN = LOG_COLUMNS.filter(({ name }) => name !== "reasonsHigh");
const nameOf = (name: string): string => NAMES[name] ?? name;

/** The columns of a record, in order. */
export const LOG_FIELDS: readonly LogField[] = SHOWN.map(({ name, unit }) => ({ name: nameOf(name), unit }));

function rawOf(bytes: Uint8Array): Raw {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  let at = 0;
  return Object.fromEntries(
    LOG_COLUMNS.map(({ name, type }) => {
      const value = type === "u8" ? view.getUint8(at) : view.getUint16(at, true);
      at += type === "u8" ? 1 : 2;
      return [name, value];
    }),
  );
}

/** Decodes the bytes of a record into values by the names of `LOG_FIELDS`. */
export function decodeRecord(bytes: Uint8Array): LogRecord {
  const raw = rawOf(bytes);
  return Object.fromEntries(
    SHOWN.map(({ name, scale }) => {
      const words = WORDS[name];
      return [nameOf(name), words ? words(raw) : Number(((raw[name] ?? 0) * scale).toFixed(PLACES))];
    }),
  );
}
