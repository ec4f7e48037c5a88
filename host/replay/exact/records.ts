// What a core writes into its log while an exact stream is replayed: the same records as in the run, if it is the same run.
import { type LogSample, samplesOf } from "#host/logbook/sample.ts";
import { LOG_RECORD_BYTES } from "#shared-schema/link/columns.ts";
import { LOG_RING } from "#shared-schema/model/blocks.ts";
import { replayExact } from "./replay.ts";
import type { ExactRun } from "./stream.ts";

/** No record is made of ones: no mode has that number. */
const BLANK = 0xff;

/** Records of a replay but the first, which the tick has written in which the stream begins. */
function replayedRecords(module: WebAssembly.Module, run: ExactRun): Uint8Array[] {
  const found: Uint8Array[] = [];
  const slot = (memory: WebAssembly.Memory): Uint8Array => {
    const n = (found.length + 1) % LOG_RING.records;
    return new Uint8Array(memory.buffer, LOG_RING.address + n * LOG_RECORD_BYTES, LOG_RECORD_BYTES);
  };
  replayExact(module, run, ({ core: { memory } }, n) => {
    const here = slot(memory);
    if (n === 0 && here.every((byte) => byte === 0)) here.fill(BLANK);
    if (here.every((byte) => byte === BLANK)) return;
    found.push(here.slice());
    slot(memory).fill(BLANK);
  });
  return found;
}

/** The same as samples, the first as if nothing had been so in it. */
export function replayedSamples(module: WebAssembly.Module, run: ExactRun): LogSample[] {
  return samplesOf([new Uint8Array(LOG_RECORD_BYTES), ...replayedRecords(module, run)]);
}

/** Names of the columns in which two records differ. */
export const differing = (a: LogSample, b: LogSample): string[] =>
  Object.keys(a).filter((name) => a[name] !== b[name]);

/** What a replay's records are against those of the run: how many are the same, and where the first other one is. */
export interface SameRecords {
  readonly same: number;
  readonly first: { readonly seconds: number; readonly columns: readonly string[] } | undefined;
}

/** Compares record by record, but for the first. */
export function compareRecords(recorded: readonly LogSample[], replayed: readonly LogSample[]): SameRecords {
  const count = Math.min(recorded.length, replayed.length);
  let first: SameRecords["first"];
  let same = 0;
  for (let i = 1; i < count; i++) {
    const columns = differing(recorded[i]!, replayed[i]!);
    if (columns.length === 0) same++;
    else first ??= { seconds: recorded[i]!.time!, columns };
  }
  return { same, first };
}
