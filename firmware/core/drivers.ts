// Each solenoid driver's drain voltage against its pin, in every tick: short, open load and stuck are told apart by voltage.
import { lookAgain } from "./gaps";
import {
  DRAIN_CONDUCTING as CONDUCTING,
  INPUTS_ADC_B,
  DRAIN_LOADED as LOADED,
  SUPPLY_MV_PER_CODE,
} from "./generated/blocks";
import * as N from "./generated/numbers";
import * as S from "./generated/settings";
import { lockOut } from "./latch";
import { DRIVER_DOUBTS, inputs, state } from "./state";

/** The same as a voltage: without so much behind the relay there is no supply. */
const CONDUCTING_MV: u32 = CONDUCTING * SUPPLY_MV_PER_CODE;
/** One more than the largest code. */
const FULL: u32 = 4096;
/**
 * What one tick of disagreement weighs against one of agreement: what comes and goes adds up, unless it shows in less than
 * one of so many ticks and one.
 */
const DOUBT: u32 = 16;
/** So much doubt locks out: four ticks in a row, or what adds up to them. */
const TOO_MUCH: u32 = 4 * DOUBT;
/** Counters of doubt, a byte each: of the eight drivers while low, while high, and of the supply. */
const WHILE_HIGH: usize = 8;
const OF_SUPPLY: usize = 16;

const SHORTED: u32 = 1;
const OPEN_LOAD: u32 = 2;
const STUCK: u32 = 3;

function configured(channel: u32): bool {
  return ((state.solenoids >> channel) & 1) !== 0;
}

function drain(channel: u32): u32 {
  return load<u16>(INPUTS_ADC_B + ((channel as usize) << 1));
}

/** What is wrong with a driver whose drain stands at a code, for a pin at `level`; 0 for nothing. */
// @inline
function wrong(code: u32, level: u32): u32 {
  if (level) return code >= LOADED ? STUCK : 0;
  if (code >= LOADED) return 0;
  return code < CONDUCTING ? SHORTED : OPEN_LOAD;
}

function faultOf(channel: u32, what: u32): u32 {
  return ((channel + 1) << 8) | what;
}

/** With every pin low and the relay closed: the first fault as (channel + 1) x 256 + kind, or 0. */
export function driversAtRest(): u32 {
  for (let channel: u32 = 0; channel < 2 * S.STAGES; channel++) {
    if (!configured(channel)) continue;
    const what = wrong(drain(channel), 0);
    if (what) return faultOf(channel, what);
  }
  return 0;
}

/** With its pin high for a moment: has the driver pulled its drain below half the supply, though its tap is still on its way? */
export function conducted(channel: u32): bool {
  return drain(channel) * SUPPLY_MV_PER_CODE * 2 < state.supplyMv;
}

/** What a driver that does not conduct is locked out with. */
export function stuck(channel: u32): u32 {
  return faultOf(channel, STUCK);
}

/** Adds to a counter what was seen, or lets it leak. True when it is too much. */
function doubt(counter: usize, seen: bool): bool {
  const at = DRIVER_DOUBTS + counter;
  const before = load<u8>(at) as u32;
  const now = seen ? before + DOUBT : before ? before - 1 : 0;
  store<u8>(at, now as u8);
  return now >= TOO_MUCH;
}

function doubted(): bool {
  return (load<u64>(DRIVER_DOUBTS) | load<u64>(DRIVER_DOUBTS, 8)) !== 0;
}

/** Of two codes in a word: bit 0 and bit 1 for those that a load pulls up. */
// @inline
function loadedPair(pair: usize): u32 {
  const above = load<u32>(INPUTS_ADC_B + pair) + (FULL - LOADED) * 0x10001;
  return ((above >> 12) & 1) | ((above >> 27) & 2);
}

/** One bit for each drain that a load pulls up. */
// @inline
function loadedDrains(): u32 {
  return loadedPair(0) | (loadedPair(4) << 2) | (loadedPair(8) << 4) | (loadedPair(12) << 6);
}

/** `disagree`, `levels` and `steady`: one bit a driver. A sample that is not steady says nothing, neither for nor against. */
function weigh(disagree: u32, levels: u32, steady: u32): void {
  for (let channel: u32 = 0; channel < 2 * S.STAGES; channel++) {
    if (!((steady >> channel) & 1)) continue;
    const level = (levels >> channel) & 1;
    const counter = (channel as usize) + (level ? WHILE_HIGH : 0);
    if (doubt(counter, ((disagree >> channel) & 1) !== 0))
      lockOut(N.LOCK_DRIVER, faultOf(channel, wrong(drain(channel), level)));
  }
}

/**
 * Every driver in every tick. A pin that had another level a tick before may have a drain on its way: not steady. A gap is,
 * for the round of the converters begins after it and looks at the first drain late enough.
 */
function watchDrains(): void {
  const levels = inputs.solenoidPins as u32;
  const gaps = state.gaps & ~levels;
  const steady = state.solenoids & (~(levels ^ state.pinsBefore) | gaps);
  state.pinsBefore = levels;
  const disagree = steady & ~(loadedDrains() ^ levels);
  if (disagree & gaps) lookAgain();
  if (disagree || doubted()) weigh(disagree, levels, steady);
}

/** Watches the supply and every driver while armed: what disagrees for long, or often, is a lockout. */
export function watchDrivers(): void {
  const lost = state.supplyMv < CONDUCTING_MV;
  if (state.turn === 0 && doubt(OF_SUPPLY, lost)) lockOut(N.LOCK_KEEP_ALIVE, state.supplyMv);
  if (!lost) watchDrains();
}

/** After a trip, until the relay has opened: a fault of a driver that shows by then is a lockout all the same. */
export function watchTripped(): void {
  if (state.supplyMv > state.batteryMv >> 1) watchDrains();
  else forgetDrivers();
}

/** Forgets what was seen, for example while nothing is armed. */
export function forgetDrivers(): void {
  state.pinsBefore = 0;
  memory.fill(DRIVER_DOUBTS, 0, 20);
}
