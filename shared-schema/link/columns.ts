// What the controller says of itself at one moment: the live columns of the status answer, and the shorter log record.

import type { Block, BlockField } from "../model/blocks.ts";
import { blockBytes } from "../model/layout.ts";
import type { UnitSuffix } from "../model/units.ts";

/** One column. Fields of `type`, little-endian, in this order, naturally aligned by construction. */
export interface Column extends BlockField {
  readonly unit?: UnitSuffix;
}

const c = (
  name: string,
  type: Column["type"],
  meaning: string,
  unit?: UnitSuffix,
  count?: number,
): Column => ({
  name,
  type,
  meaning,
  ...(unit === undefined ? {} : { unit }),
  ...(count === undefined ? {} : { count }),
});

/** All columns. The core updates them in every tick. */
export const COLUMNS: readonly Column[] = [
  c("timeUs", "u32", "time of the tick, wraps every 71.6 minutes", "Us"),
  c("reasons", "u32", "bit n: interlock number n holds flow off now"),
  c("tripValue", "u32", "the value that tripped, in the unit of its input"),
  c("noiseCuts", "u32", "arm switch edges that were over within 5 ms"),
  c("mode", "u8", "number of the mode"),
  c("trip", "u8", "number of the interlock that tripped first, 255 for none"),
  c("flowing", "u8", "bit s: stage s + 1 flows"),
  c("flags", "u8", "output bits as in Outputs.flags"),
  c("switches", "u16", "switch bits as in Inputs.switches"),
  c("engineRpm", "u16", "engine speed", "Rpm"),
  c(
    "throttlePermille",
    "u16",
    "throttle opening; 1000 when no position sensor is fitted and the switch is closed",
    "Permille",
  ),
  c("roadDeciKmh", "u16", "road speed", "DeciKmh"),
  c("manifoldDeciKpa", "u16", "manifold pressure", "DeciKpa"),
  c("batteryMv", "u16", "battery voltage", "Mv"),
  c("bottleKpaGauge", "u16", "bottle pressure", "KpaGauge"),
  c("fuelDeciKpaGauge", "u16", "fuel pressure", "DeciKpaGauge"),
  c("milliLambda", "u16", "mixture", "MilliLambda"),
  c("coolantMv", "u16", "voltage of the coolant sensor", "Mv"),
  c("supplyMv", "u16", "voltage behind the master relay", "Mv"),
  c("gear", "u16", "gear that the speeds fit, 0 for none"),
  c("retardDeciDeg", "u16", "retard asked for", "DeciDeg"),
  c("sharePermille", "u16", "share of each stage after ramps and rise limit", "Permille", 4),
  c("loopUs", "u16", "time that the last pass of the main loop took", "Us"),
  c("badFrames", "u16", "damaged, oversized or unknown frames received, wraps"),
];

/** The block in the core's memory that holds the columns. */
export const LIVE: Block = { name: "Live", address: 0x500, room: 128, fields: COLUMNS };

/**
 * One column of a record of the run log. `scale` is what one count means in `unit`; `per`, where it is there, says how many
 * counts of the value in the core's memory make one count of the record.
 */
export interface LogColumn extends BlockField {
  readonly type: "u8" | "u16";
  readonly scale: number;
  readonly unit: string;
  readonly per?: number;
}

const l = (
  name: string,
  type: LogColumn["type"],
  scale: number,
  unit: string,
  meaning: string,
  per?: number,
): LogColumn => ({
  name,
  type,
  scale,
  unit,
  meaning,
  ...(per === undefined ? {} : { per }),
});

/** Columns of a log record, one record each 10 ms while armed. */
export const LOG_COLUMNS: readonly LogColumn[] = [
  l("time", "u16", 0.01, "s", "time since arming", 10_000),
  l("reasonsLow", "u16", 1, "", "bits 0 to 15 of the interlocks that hold flow off"),
  l("reasonsHigh", "u16", 1, "", "bits 16 to 31 of the same"),
  l("engineSpeed", "u16", 1, "rpm", "engine speed"),
  l("roadSpeed", "u16", 0.1, "km/h", "road speed"),
  l("manifold", "u16", 0.1, "kPa absolute", "manifold pressure"),
  l("bottle", "u8", 50, "kPa gauge", "bottle pressure", 50),
  l("fuel", "u8", 5, "kPa gauge", "fuel pressure", 50),
  l("lambda", "u8", 0.01, "lambda", "mixture", 10),
  l("battery", "u8", 0.1, "V", "battery voltage", 100),
  l("throttle", "u8", 0.5, "%", "throttle opening", 5),
  l("switches", "u8", 1, "", "switch bits"),
  l("mode", "u8", 1, "", "number of the mode"),
  l("trip", "u8", 1, "", "number of the interlock that tripped, 255 for none"),
  l("share1", "u8", 0.5, "%", "share of stage 1", 5),
  l("share2", "u8", 0.5, "%", "share of stage 2", 5),
  l("share3", "u8", 0.5, "%", "share of stage 3", 5),
  l("share4", "u8", 0.5, "%", "share of stage 4", 5),
  l("outputs", "u8", 1, "", "output bits"),
  l("retard", "u8", 0.2, "deg", "retard asked for", 2),
];

/** A record as the core writes it, at no fixed place. Its columns follow each other without a gap. */
export const LOG_RECORD: Block = { name: "LogRecord", address: 0, room: 32, fields: LOG_COLUMNS };
/** Bytes of a log record. */
export const LOG_RECORD_BYTES = LOG_COLUMNS.reduce((n, column) => n + (column.type === "u8" ? 1 : 2), 0);
if (blockBytes(LOG_RECORD) !== LOG_RECORD_BYTES || LOG_RECORD_BYTES % 2 !== 0)
  throw new Error(
    "columns of a log record leave a gap: put those of two bytes at even places, and an even number of others",
  );
/** Time between two log records. */
export const LOG_EVERY_MS = 10;

/** Head of a page of the stored log. The sequence number, modulo the pages of the log, is the place of the page. */
export const LOG_PAGE_HEAD: Block = {
  name: "LogPageHead",
  address: 0,
  room: 16,
  fields: [
    { name: "magic", type: "u16", meaning: "LOG_PAGE.magic" },
    { name: "records", type: "u8", meaning: "how many records follow; 0 in a page of ticks" },
    {
      name: "flags",
      type: "u8",
      meaning: "is it the first, or the last, of its kind in its run; does a piece begin",
    },
    { name: "run", type: "u32", meaning: "number of the run" },
    { name: "sequence", type: "u32", meaning: "sequence number of the page" },
    { name: "settingsCrc", type: "u32", meaning: "CRC-32C of the settings in force" },
  ],
};

/**
 * A page of the stored log: its head; then its records, or bits of what the core read in each tick and how many ticks of
 * their piece end in it or before; then the number of the page in its run, from 0, and the CRC-32C of all before it.
 * Little-endian, packed.
 */
export const LOG_PAGE = {
  bytes: 256,
  magic: 0x474c,
  ticksMagic: 0x544c,
  headBytes: blockBytes(LOG_PAGE_HEAD),
  countAt: 248,
  numberAt: 250,
  crcAt: 252,
  /** In memory it has only the first four bytes of its head, right before its contents, and no number and CRC: so much is left out, and this long it is. */
  leftOut: 12,
  memoryBytes: 240,
  /** Bits of the flags. */
  first: 1,
  last: 2,
  piece: 4,
} as const;
/** Words of 16 bits of a record: one bit each says whether it is another one than in the record before. */
export const LOG_RECORD_WORDS = LOG_RECORD_BYTES / 2;
if (LOG_RECORD_WORDS > 16) throw new Error("a record has more words than a mask has bits");

/** Pages of a piece of the ticks: it begins with the core's state, so that it can be replayed by itself. */
export const PIECE_PAGES = 96;
