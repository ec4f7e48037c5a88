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

/** Records of a replay: all that the ticks have written. `rig` as for `replayExact`. */
export function replayedSamples(rig: CoreRig, pieces: readonly Piece[]): LogSample[] {
  const ring = new Ring(rig);
  ring.clear();
  replayExact(rig, pieces, () => ring.take());
  return samplesOf(ring.found);
}

/** Names of the columns in which two records differ. */
export const differing = (a: LogSample, b: LogSample): string[] =>
  Object.keys(a).filter((name) => a[name] !== b[name]);

/** What a replay's records are against those of the run: how many are the same, and where the first other one is. */
export interface SameRecords {
  readonly same: number;
  readonly first: { readonly seconds: number; readonly columns: readonly string[] } | undefined;
}

/** The records of the run that a replay covers: those from its first on. */
export function coveredBy(replayed: readonly LogSample[], recorded: readonly LogSample[]): LogSample[] {
  const from = recorded.findIndex(({ time }) => time! >= (replayed[0]?.time ?? 0));
  return from < 0 ? [] : recorded.slice(from, from + replayed.length);
}

/** Compares record by record. */
export function compareRecords(recorded: readonly LogSample[], replayed: readonly LogSample[]): SameRecords {
  const count = Math.min(recorded.length, replayed.length);
  let first: SameRecords["first"];
  let same = 0;
  for (let i = 0; i < count; i++) {
    const columns = differing(recorded[i]!, replayed[i]!);
    if (columns.length === 0) same++;
    else first ??= { seconds: recorded[i]!.time!, columns };
  }
  return { same, first };
}
