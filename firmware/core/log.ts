// The run log: a record each 10 ms from arming on, in a short ring from which it is packed into pages between ticks.
import * as B from "./generated/blocks";
import * as N from "./generated/numbers";
import { inputs, isArmed, live, outputs, state } from "./state";

const EVERY_US: u32 = B.LOG_EVERY_MS * 1000;
/** After the run has ended it records this much longer. */
const AFTER_US: u32 = 500_000;

/** Where the log stands. */
export class Log {
  /** Records written in this run; the ring holds the last LOG_RECORDS of them. */
  written: u32;
  /** Runs begun since the start. */
  runs: u32;
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

const PART_BITS: u32 = 18;
const PART: u32 = 1 << PART_BITS;

/** The columns of the next records that come from measured values. */
export const DRAFT: usize = memory.data(28, 4);
const draft = changetype<B.LogRecord>(DRAFT);
export const LOG: usize = memory.data(36, 4);
export const log = changetype<Log>(LOG);

const RING_END: usize = B.LOG_RING + (B.LOG_RECORDS as usize) * (B.LOG_RECORD_BYTES as usize);

/** Where the record of a number lies. */
export function recordAt(number: u32): usize {
  return B.LOG_RING + ((number % B.LOG_RECORDS) as usize) * (B.LOG_RECORD_BYTES as usize);
}

/**
 * A value in counts of `per`, at most 255: a product in place of a division, exact for `per` up to 50 as long as the result
 * is under 256. Products stay under 2^32.
 */
// @inline
function byte(value: u32, per: u32): u8 {
  return min<u32>((value * ((PART + per - 1) / per)) >> PART_BITS, 255) as u8;
}

/** Works out, whenever the live block has been measured anew, what of it the next records hold. */
export function noteMeasured(): void {
  draft.engineSpeed = live.engineRpm;
  draft.roadSpeed = live.roadDeciKmh;
  draft.manifold = live.manifoldDeciKpa;
  draft.bottle = byte(live.bottleKpaGauge, B.LOG_BOTTLE_PER);
  draft.fuel = byte(live.fuelDeciKpaGauge, B.LOG_FUEL_PER);
  draft.lambda = byte(live.milliLambda, B.LOG_LAMBDA_PER);
  draft.battery = byte(live.batteryMv >> 1, B.LOG_BATTERY_PER / 2);
  draft.throttle = byte(live.throttlePermille, B.LOG_THROTTLE_PER);
  draft.share1 = byte(live.sharePermille0, B.LOG_SHARE1_PER);
  draft.share2 = byte(live.sharePermille1, B.LOG_SHARE2_PER);
  draft.share3 = byte(live.sharePermille2, B.LOG_SHARE3_PER);
  draft.share4 = byte(live.sharePermille3, B.LOG_SHARE4_PER);
  draft.retard = byte(live.retardDeciDeg, B.LOG_RETARD_PER);
}

function putMeasured(record: B.LogRecord): void {
  record.engineSpeed = draft.engineSpeed;
  record.roadSpeed = draft.roadSpeed;
  record.manifold = draft.manifold;
  record.bottle = draft.bottle;
  record.fuel = draft.fuel;
  record.lambda = draft.lambda;
  record.battery = draft.battery;
  record.throttle = draft.throttle;
  record.share1 = draft.share1;
  record.share2 = draft.share2;
  record.share3 = draft.share3;
  record.share4 = draft.share4;
  record.retard = draft.retard;
}

/** Writes one record of the live block. */
function putRecord(): void {
  const at = log.place;
  const record = changetype<B.LogRecord>(at);
  const reasons = live.reasons;
  putMeasured(record);
  record.time = min<u32>(log.runUs / B.LOG_TIME_PER, 0xffff) as u16;
  record.reasonsLow = reasons as u16;
  record.reasonsHigh = (reasons >> 16) as u16;
  record.switches = inputs.switches as u8;
  record.mode = live.mode;
  record.trip = live.trip;
  record.outputs = outputs.flags as u8;
  log.written += 1;
  log.place = at + B.LOG_RECORD_BYTES === RING_END ? B.LOG_RING : at + B.LOG_RECORD_BYTES;
}

function begin(): void {
  log.written = 0;
  log.runs += 1;
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
