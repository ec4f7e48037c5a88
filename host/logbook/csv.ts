// A run as comma-separated values (RFC 4180) of numbers only, so that any spreadsheet or plotting program opens it.
import { OUTPUT_BITS, SWITCH_BITS } from "#shared-schema/model/blocks.ts";
import { MODES } from "#shared-schema/model/interlocks.ts";
import { bitsOf, LOG_FIELDS, lockName } from "./record.ts";
import { type LogSample, NO_TRIP } from "./sample.ts";

/** A column: what stands in the head line, and the number of each record. */
interface CsvColumn {
  readonly title: string;
  readonly numberIn: (sample: LogSample) => number;
}

/** `engineSpeed` is `engine speed`, `share1` is `share 1`. */
const plainWords = (name: string): string =>
  name.replace(/[A-Z]/g, (letter) => ` ${letter.toLowerCase()}`).replace(/\d/, " $&");

/** 1 where a bit of a column is set, else 0. */
const bitOf =
  (column: string, bit: number) =>
  (sample: LogSample): number =>
    ((sample[column] ?? 0) >>> bit) & 1;

function bitColumns(
  column: string,
  kind: string,
  bits: readonly (readonly [name: string, bit: number])[],
): CsvColumn[] {
  return bits.map(([name, bit]) => ({ title: `${kind} ${plainWords(name)}`, numberIn: bitOf(column, bit) }));
}

/** Numbers that a column takes in a run, in order. */
const occurring = (
  samples: readonly LogSample[],
  numbers: (sample: LogSample) => readonly number[],
): number[] => [...new Set(samples.flatMap(numbers))].sort((a, b) => a - b);

function reasonColumns(samples: readonly LogSample[]): CsvColumn[] {
  const held = occurring(samples, ({ reasons = 0 }) => bitsOf(reasons));
  return held.map((bit) => ({ title: `reason ${lockName(bit)}`, numberIn: bitOf("reasons", bit) }));
}

function tripColumns(samples: readonly LogSample[]): CsvColumn[] {
  const tripped = occurring(samples, ({ trip = NO_TRIP }) => (trip === NO_TRIP ? [] : [trip]));
  return tripped.map((number) => ({
    title: `trip ${lockName(number)}`,
    numberIn: ({ trip }) => (trip === number ? 1 : 0),
  }));
}

const MODE: CsvColumn = {
  title: `mode [${MODES.map((name, number) => `${number}=${name}`).join(" ")}]`,
  numberIn: ({ mode = 0 }) => mode,
};

const VALUES: readonly CsvColumn[] = LOG_FIELDS.filter(({ unit }) => unit !== "").map(({ name, unit }) => ({
  title: `${plainWords(name)} [${unit}]`,
  numberIn: (sample) => sample[name] ?? 0,
}));

/** Columns of a run: what is measured, the mode, every switch and output, and the reasons and trips that occur. */
function columnsOf(samples: readonly LogSample[]): CsvColumn[] {
  return [
    ...VALUES,
    MODE,
    ...bitColumns("switches", "switch", Object.entries(SWITCH_BITS)),
    ...bitColumns("outputs", "output", Object.entries(OUTPUT_BITS)),
    ...reasonColumns(samples),
    ...tripColumns(samples),
  ];
}

/** The whole file. No title holds a comma or a quotation mark, so that nothing needs to be quoted. */
export function csvOf(samples: readonly LogSample[]): string {
  const columns = columnsOf(samples);
  const head = columns.map(({ title }) => title).join(",");
  const lines = samples.map((sample) => columns.map(({ numberIn }) => numberIn(sample)).join(","));
  return `${[head, ...lines].join("\r\n")}\r\n`;
}
