// What a core writes into its log while ticks are replayed: the same records as in the run, if it is the same run.
import type { CoreRig } from "#host/bench/core/rig.ts";
import { type LogSample, samplesOf } from "#host/logbook/sample.ts";
import { LOG_RECORD_BYTES } from "#shared-schema/link/columns.ts";
import { LOG_RING } from "#shared-schema/model/blocks.ts";
import type { Piece } from "./pieces.ts";
import { replayExact } from "./replay.ts";

/** No record is made of ones: no mode has that number. */
const BLANK = 0xff;

/** Records as they are written. The ring holds more of them than a tick writes. */
class Ring {
  readonly found: Uint8Array[] = [];
  private readonly all: Uint8Array;

  constructor({ core }: CoreRig) {
    this.all = new Uint8Array(core.memory.buffer, LOG_RING.address, LOG_RING.records * LOG_RECORD_BYTES);
  }

  /** What is in the ring from before is none. */
  clear(): void {
    this.all.fill(BLANK);
  }

  take(): void {
    for (let at = 0; at < this.all.length; at += LOG_RECORD_BYTES) {
      const here = this.all.subarray(at, at + LOG_RECORD_BYTES);
      if (here.every((byte) => byte === BLANK)) continue;
      this.found.push(here.slice());
      here.fill(BLANK);
    }
  }
}

/**
 * Records of a replay: all that the ticks have written, those of each row of pieces that follow each other by themselves.
 * `rig` as for `replayExact`.
 */
export function replayedRows(rig: CoreRig, pieces: readonly Piece[]): LogSample[][] {
  const ring = new Ring(rig);
  const begins: number[] = [];
  ring.clear();
  const began = ({ follows }: Piece): void => {
    if (!follows || begins.length === 0) begins.push(ring.found.length);
  };
  replayExact(rig, pieces, () => ring.take(), began);
  const samples = samplesOf(ring.found);
  return begins.map((from, i) => samples.slice(from, begins[i + 1])).filter((row) => row.length > 0);
}

/** A record of the run, and the same of its replay. */
export type RecordPair = readonly [recorded: LogSample, replayed: LogSample];

/** The first records may share a count of time with others that are not there: these are left out. */
const COUNT_S = 0.0095;

/** One after the other, from the row's beginning on. */
function inOrder(recorded: readonly LogSample[], row: readonly LogSample[]): RecordPair[] {
  const from = recorded.findIndex(({ time }) => time! >= row[0]!.time!);
  const stretch = from < 0 ? [] : recorded.slice(from, from + row.length);
  return stretch.map((sample, n) => [sample, row[n]!]);
}

/** Those of the same time. */
function byTime(recorded: readonly LogSample[], row: readonly LogSample[]): RecordPair[] {
  const at = new Map(recorded.map((sample) => [sample.time, sample]));
  return row.flatMap((sample): RecordPair[] => {
    const same = at.get(sample.time);
    return same ? [[same, sample]] : [];
  });
}

/**
 * The records of the run that a replay covers, each beside its own. `lost`: are pages of records missing? Then a record of
 * one that the other has not is no difference.
 */
export function pairsOf(
  recorded: readonly LogSample[],
  rows: readonly (readonly LogSample[])[],
  lost: boolean,
): RecordPair[] {
  return rows.flatMap((row) => {
    const from = Math.max(row[0]!.time!, recorded[0]?.time ?? 0) + COUNT_S;
    const settled = row.filter(({ time }) => time! > from);
    if (settled.length === 0) return [];
    return lost ? byTime(recorded, settled) : inOrder(recorded, settled);
  });
}

/** Names of the columns in which two records differ. */
export const differing = (a: LogSample, b: LogSample): string[] =>
  Object.keys(a).filter((name) => a[name] !== b[name]);

/** What a replay's records are against those of the run: how many are the same, and where the first other one is. */
export interface SameRecords {
  readonly same: number;
  readonly first: { readonly seconds: number; readonly columns: readonly string[] } | undefined;
}

/** Compares record by record. */
export function compareRecords(pairs: readonly RecordPair[]): SameRecords {
  let first: SameRecords["first"];
  let same = 0;
  for (const [recorded, replayed] of pairs) {
    const columns = differing(recorded, replayed);
    if (columns.length === 0) same++;
    else first ??= { seconds: recorded.time!, columns };
  }
  return { same, first };
}
