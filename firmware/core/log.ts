// The run log: a record each 10 ms from arming on, in a ring in memory that keeps the last half minute.
import * as B from "./generated/blocks";
import * as N from "./generated/numbers";
import { inputs, isArmed, live, outputs, state } from "./state";

const EVERY_US: u32 = B.LOG_EVERY_MS * 1000;
/** After the run has ended it records this much longer. */
const AFTER_US: u32 = 500_000;

/** Where the ring stands. */
export class Log {
  /** Records written in this run; the ring holds the last LOG_RECORDS of them. */
  written: u32;
  runUs: u32;
  restUs: u32;
  afterUs: u32;
  lastMode: u32;
  /** 1 while a run is being recorded, 2 when one is whole and waits to be stored, 3 when it is stored. */
  phase: u32;
  /** The run that waits has been given its number. */
  begun: u32;
}

const LOG: usize = memory.data(32, 4);
export const log = changetype<Log>(LOG);

/** Where the record of a number lies. */
export function recordAt(number: u32): usize {
  return B.LOG_RING + ((number % B.LOG_RECORDS) as usize) * (B.LOG_RECORD_BYTES as usize);
}

function small(value: u32, divisor: u32): u8 {
  return min<u32>(value / divisor, 255) as u8;
}

function putMeasured(at: usize): void {
  store<u16>(at + 6, live.engineRpm);
  store<u16>(at + 8, live.roadDeciKmh);
  store<u16>(at + 10, live.manifoldDeciKpa);
  store<u8>(at + 12, small(live.bottleKpaGauge, 50));
  store<u8>(at + 13, small(live.fuelDeciKpaGauge, 50));
  store<u8>(at + 14, small(live.milliLambda, 10));
  store<u8>(at + 15, small(live.batteryMv, 100));
  store<u8>(at + 16, small(live.throttlePermille, 5));
}

/** Writes one record of the live block. Fields as in LOG_COLUMNS. */
function putRecord(): void {
  const at = recordAt(log.written);
  store<u16>(at, min<u32>(log.runUs / 10_000, 0xffff) as u16);
  store<u16>(at + 2, live.reasons as u16);
  store<u16>(at + 4, (live.reasons >> 16) as u16);
  putMeasured(at);
  store<u8>(at + 17, inputs.switches as u8);
  store<u8>(at + 18, live.mode);
  store<u8>(at + 19, live.trip);
  for (let s: usize = 0; s < 4; s++)
    store<u8>(at + 20 + s, small(load<u16>(B.LIVE_SHARE_PERMILLE + (s << 1)), 5));
  store<u8>(at + 24, outputs.flags as u8);
  store<u8>(at + 25, small(live.retardDeciDeg, 2));
  log.written += 1;
}

function begin(): void {
  log.written = 0;
  log.runUs = 0;
  log.restUs = 0;
  log.afterUs = 0;
  log.phase = 1;
  log.begun = 0;
}

function pass(): void {
  log.runUs += state.dtUs;
  log.restUs += state.dtUs;
  const due = log.restUs >= EVERY_US;
  if (due) log.restUs -= EVERY_US;
  if (due || log.lastMode !== state.mode) putRecord();
  log.afterUs = isArmed() ? 0 : log.afterUs + state.dtUs;
  if (log.afterUs > AFTER_US) log.phase = 2;
}

/** Records what the live block says now, in a run and for a moment after it. A change of mode gets a record of its own. */
export function recordRun(): void {
  const arms = state.mode === N.MODE_ARMING && log.lastMode !== N.MODE_ARMING;
  if (arms) begin();
  if (log.phase === 1) pass();
  log.lastMode = state.mode;
}
