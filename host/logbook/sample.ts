// Records of a run as numbers only: what plots and reviews are made from.
import { LOG_COLUMNS } from "#shared-schema/link/columns.ts";

/**
 * A record: columns by name, in their units; `reasons`, `switches` and `outputs` as bits, `mode` and `trip` as numbers
 * (`NO_TRIP` for none). `time` is in seconds since arming and rises from each record to the next.
 */
export type LogSample = Readonly<Record<string, number>>;

/** Value of `trip` when nothing has tripped. */
export const NO_TRIP = 255;
/** Decimal places of the finest scale. Products of scale and count are rounded to this. */
const PLACES = 3;
/** Records of one count of time are set this far apart, in their order. */
const APART_S = 0.001;
const LARGEST_COUNT = 0xffff;

/** Counts of each column as they stand in the record. */
export function countsOf(bytes: Uint8Array): LogSample {
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

const rounded = (value: number): number => Number(value.toFixed(PLACES));

/** A record's numbers in their units, its time as it was stored. */
export function sampleOf(bytes: Uint8Array): LogSample {
  const { reasonsLow = 0, reasonsHigh = 0, ...counts } = countsOf(bytes);
  const scaled = LOG_COLUMNS.flatMap(({ name, scale }) => {
    const count = counts[name];
    return count === undefined ? [] : [[name, rounded(count * scale)] as const];
  });
  return { ...Object.fromEntries(scaled), reasons: (reasonsLow | (reasonsHigh << 16)) >>> 0 };
}

const TIME_COLUMN = LOG_COLUMNS.find(({ name }) => name === "time")!;
/** The counter of time stands still here; records go on coming. */
const LAST_TIME_S = rounded(LARGEST_COUNT * TIME_COLUMN.scale);

/** The time after `before`, where the stored one does not say more than its count. */
function nextTime(stored: number, before: number): number {
  if (stored > before) return stored;
  return rounded(before + (stored >= LAST_TIME_S ? TIME_COLUMN.scale : APART_S));
}

/** All records as numbers, their time strictly rising: a change of mode has a record of its own in the same hundredth. */
export function samplesOf(records: readonly Uint8Array[]): LogSample[] {
  let before = Number.NEGATIVE_INFINITY;
  return records.map((bytes) => {
    const sample = sampleOf(bytes);
    before = nextTime(sample.time ?? 0, before);
    return { ...sample, time: before };
  });
}
