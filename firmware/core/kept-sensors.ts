// The codes of the sensors' converter that a tick has read: each against the slow mean of those before it.
import { put, putNumber } from "./bits";
import * as B from "./generated/blocks";
import { sensor, state } from "./state";

class KeptSensors {
  /** Bit n: the sensor on channel n is believed, as of the tick before. */
  good: u32;
  /** 1 while every channel is written. */
  every: u32;
  /** 1 where the tick before read one pattern: what is not written would still be it. */
  pattern: u32;
}

const KEPT: usize = memory.data(12, 4);
const kept = changetype<KeptSensors>(KEPT);
/** Mean of each channel in sixteenths, and the mean size of what was off it. */
const MEANS: usize = memory.data(64, 4);
const EVERY: u32 = 0xff;
/** Channels that every tick reads: battery and supply, throttle and manifold where they are fitted. */
const FAST: u32 =
  (1 << B.ADC_BATTERY) | (1 << B.ADC_DRIVER_SUPPLY) | (1 << B.ADC_THROTTLE) | (1 << B.ADC_MANIFOLD);
/** The others, by the turn in which they are read. */
const SLOW: u32 = B.ADC_BOTTLE | (B.ADC_FUEL << 8) | (B.ADC_LAMBDA << 16) | (B.ADC_COOLANT << 24);
const FITTABLE: u32 = EVERY & ~((1 << B.ADC_BATTERY) | (1 << B.ADC_DRIVER_SUPPLY));
/** A code that is further off begins a new mean; else each moves the mean so far towards it. */
const FAR: i32 = 24;
const WEIGHT_SHIFT: i32 = 3;

function code(channel: u32): i32 {
  return load<u16>(B.INPUTS_ADC_A + ((channel as usize) << 1));
}

/** Bit n: something is fitted at channel n. */
export function fittedChannels(): u32 {
  let fitted = EVERY & ~FITTABLE;
  for (let n: u32 = 0; n < 8; n++) if (sensor(n).fitted) fitted |= 1 << n;
  return fitted;
}

function putCode(channel: u32): void {
  const mean = MEANS + ((channel as usize) << 3);
  const here = code(channel);
  const before = load<i32>(mean);
  const off = here - ((before + 8) >> 4);
  putNumber(mean + 4, off);
  const exact = here << 4;
  store<i32>(mean, off > FAR || off < -FAR ? exact : before + ((exact - before) >> WEIGHT_SHIFT));
}

/** Is every code the same? It is what the core takes for a dead converter. */
function onePattern(): bool {
  const first = code(0);
  for (let n: u32 = 1; n < 8; n++) if (code(n) !== first) return false;
  return true;
}

function putChannels(channels: u32): void {
  for (let n: u32 = 0; n < 8; n++) if ((channels >> n) & 1) putCode(n);
}

/** May the tick have read more than it mostly does? True when that is not as in the tick before; to be called once a tick, before `putSensors`. */
export function readsOther(): bool {
  const pattern: u32 = onePattern() ? 1 : 0;
  const every: u32 = (kept.good & FITTABLE) !== FITTABLE || pattern || kept.pattern ? 1 : 0;
  kept.pattern = pattern;
  const other = every !== kept.every;
  kept.every = every;
  return other;
}

/** Writes what the tick has read. */
export function putSensors(): void {
  const slow: u32 = 1 << ((SLOW >> (state.turn << 3)) & 7);
  putChannels(kept.every ? EVERY : fittedChannels() & (FAST | slow));
  kept.good = state.sensorsGood | (1 << B.ADC_THROTTLE) | (1 << B.ADC_MANIFOLD);
}

/** Begins with the codes as they are. */
export function beginSensors(): void {
  for (let n: u32 = 0; n < 8; n++) {
    const mean = MEANS + ((n as usize) << 3);
    store<i32>(mean, code(n) << 4);
    store<i32>(mean, 0, 4);
  }
  kept.good = state.sensorsGood | (1 << B.ADC_THROTTLE) | (1 << B.ADC_MANIFOLD);
  kept.every = 0;
  kept.pattern = onePattern() ? 1 : 0;
  put(8, fittedChannels());
  put(2, state.turn);
}
