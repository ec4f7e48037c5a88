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
  /** Where the next record goes. */
  place: usize;
  runUs: u32;
  restUs: u32;
  afterUs: u32;
  lastMode: u32;
  /** 1 while a run is being recorded, 2 when one is whole and waits to be stored, 3 when it is stored. */
  phase: u32;
  /** The run that waits has been given its number. */
  begun: u32;
}

/** Parts of 2^18, rounded up: exact for values of 16 bits as long as the result is under 256. */
const PART_BITS: u32 = 18;
const FIFTH: u32 = 52_429;
const TENTH: u32 = 26_215;
const FIFTIETH: u32 = 5_243;

/** Measured values as records hold them: bottle, fuel, lambda, battery, four shares, throttle, retard; a byte each. */
const MEASURED: usize = memory.data(12, 4);
const LOG: usize = memory.data(32, 4);
export const log = changetype<Log>(LOG);

const RING_END: usize = B.LOG_RING + (B.LOG_RECORDS as usize) * (B.LOG_RECORD_BYTES as usize);

/** Where the record of a number lies. */
export function recordAt(number: u32): usize {
  return B.LOG_RING + ((number % B.LOG_RECORDS) as usize) * (B.LOG_RECORD_BYTES as usize);
}

/** A 16-bit value over what `TENTH` and the like stand for, at most 255. Products stay under 2^32. */
// @inline
function small(value: u32, part: u32): u8 {
  return min<u32>((value * part) >> PART_BITS, 255) as u8;
}

/** Works out, whenever the live block has been measured anew, what of it the next records hold. */
export function noteMeasured(): void {
  store<u8>(MEASURED, small(live.bottleKpaGauge, FIFTIETH));
  store<u8>(MEASURED, small(live.fuelDeciKpaGauge, FIFTIETH), 1);
  store<u8>(MEASURED, small(live.milliLambda, TENTH), 2);
  store<u8>(MEASURED, small(live.batteryMv >> 1, FIFTIETH), 3);
  store<u8>(MEASURED, small(load<u16>(B.LIVE_SHARE_PERMILLE), FIFTH), 4);
  store<u8>(MEASURED, small(load<u16>(B.LIVE_SHARE_PERMILLE, 2), FIFTH), 5);
  store<u8>(MEASURED, small(load<u16>(B.LIVE_SHARE_PERMILLE, 4), FIFTH), 6);
  store<u8>(MEASURED, small(load<u16>(B.LIVE_SHARE_PERMILLE, 6), FIFTH), 7);
  store<u8>(MEASURED, small(live.throttlePermille, FIFTH), 8);
  store<u8>(MEASURED, min<u32>(live.retardDeciDeg >> 1, 255) as u8, 9);
}

function putMeasured(at: usize): void {
  store<u16>(at, live.engineRpm, 6);
  store<u16>(at, live.roadDeciKmh, 8);
  store<u16>(at, live.manifoldDeciKpa, 10);
  store<u16>(at, load<u16>(MEASURED), 12);
  store<u16>(at, load<u16>(MEASURED, 2), 14);
  store<u8>(at, load<u8>(MEASURED, 8), 16);
  store<u16>(at, load<u16>(MEASURED, 4), 20);
  store<u16>(at, load<u16>(MEASURED, 6), 22);
  store<u8>(at, load<u8>(MEASURED, 9), 25);
}

/** Writes one record of the live block. Fields as in LOG_COLUMNS; mode and trip lie side by side in both. */
function putRecord(): void {
  const at = log.place;
  const reasons = live.reasons;
  store<u16>(at, min<u32>(log.runUs / 10_000, 0xffff) as u16);
  store<u16>(at, reasons as u16, 2);
  store<u16>(at, (reasons >> 16) as u16, 4);
  putMeasured(at);
  store<u8>(at, inputs.switches as u8, 17);
  store<u16>(at, load<u16>(B.LIVE, offsetof<B.Live>("mode")), 18);
  store<u8>(at, outputs.flags as u8, 24);
  log.written += 1;
  log.place = at + B.LOG_RECORD_BYTES === RING_END ? B.LOG_RING : at + B.LOG_RECORD_BYTES;
}

function begin(): void {
  log.written = 0;
  log.place = B.LOG_RING;
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
