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
/** What lifts a code at the limit of a load to 4096, in both halves of a word. */
const LOADED_PAIR: u32 = (4096 - LOADED) * 0x10001;
/**
 * What one tick of disagreement weighs against one of agreement: what comes and goes adds up, unless it shows in less than
 * one of so many ticks and one.
 */
const DOUBT: u32 = 16;
/** So much doubt locks out: four ticks in a row, or what adds up to them. */
const TOO_MUCH: u32 = 4 * DOUBT;
/** Counters of doubt, a byte each: of the eight drivers while low, while high, of the supply; and of the eight clamps. */
const WHILE_HIGH: usize = 8;
const OF_SUPPLY: usize = 16;
const OF_CLAMPS: usize = 28;
/** Levels of the pins in the last four looks at them, a byte each, the newest lowest. */
const PINS_PAST: usize = DRIVER_DOUBTS + 20;
/** Pins that fell a tick ago and have shown no kick; beside them those whose drains the last armed tick has looked at for one. */
const AWAITED: usize = DRIVER_DOUBTS + 24;
export const CLAMPS_LOOKED: usize = DRIVER_DOUBTS + 25;
/** Ticks further apart, or less supply behind the relay, may miss a kick. */
const LATE_US: u32 = 1_100;
const KICKS_MV: u32 = 10_000;

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

/** Of two codes in a word: bits 12 and 28 for those that `lift` takes to 4096. */
// @inline
function liftedPair(pair: usize, lift: u32): u32 {
  return (load<u32>(INPUTS_ADC_B + pair) + lift) & 0x10001000;
}

/** A bit for each drain that stands at a limit or above, and others over those: `lift` is what that lacks of 4096, in both halves of a word. */
function drainsAbove(lift: u32): u32 {
  const first = (liftedPair(0, lift) >> 2) | liftedPair(4, lift);
  const all = (((first >> 2) | liftedPair(8, lift)) >> 2) | liftedPair(12, lift);
  return (all >> 6) | (all >> 21);
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
function watchDrains(levels: u32): void {
  const gaps = state.gaps & ~levels;
  const steady = state.solenoids & (~(levels ^ state.pinsBefore) | gaps);
  state.pinsBefore = levels;
  const disagree = steady & ~(drainsAbove(LOADED_PAIR) ^ levels);
  if (disagree & gaps) lookAgain();
  if (disagree || doubted()) weigh(disagree, levels, steady);
}

/** The clamps that were judged by a kick that came or did not. */
function weighClamps(judged: u32, missing: u32): void {
  for (let channel: u32 = 0; channel < 2 * S.STAGES; channel++) {
    if (!((judged >> channel) & 1)) continue;
    if (doubt(OF_CLAMPS + (channel as usize), ((missing >> channel) & 1) !== 0))
      lockOut(N.LOCK_CLAMP, channel + 1);
  }
}

/**
 * Pins that have just fallen and were high in the last four looks at them, 2 ms apart: for more than 6 ms, but for lows in
 * between that are too short to end a coil's current. A pin without a solenoid is never high.
 */
// @inline
function fellLate(levels: u32): u32 {
  const past = load<u32>(PINS_PAST);
  if (!(state.turn & 1)) store<u32>(PINS_PAST, (past << 8) | levels);
  const halves = past & (past >> 16);
  return state.pinsBefore & ~levels & halves & (halves >> 8);
}

/**
 * `fell`: pins that just have; `looked`: those, and pins that fell a tick ago without a kick; `lift` as above. Returns those that
 * are looked at again in the next tick. Where a kick may have been missed nothing is judged.
 */
// @inline
function judgeKicks(fell: u32, looked: u32, lift: u32): u32 {
  const missing = looked & ~drainsAbove(lift);
  if (missing && (state.dtUs >= LATE_US || state.supplyMv < KICKS_MV)) return 0;
  const awaited = missing & fell;
  const missed = missing ^ awaited;
  if (missed || load<u64>(DRIVER_DOUBTS, OF_CLAMPS)) weighClamps(looked ^ awaited, missed);
  return awaited;
}

/**
 * A coil whose current ends against a sound clamp lifts its drain from 0.1 to over 1.1 ms after switching off: one of the first
 * two ticks after it sees that. A pin that is high again in the second says nothing.
 */
// @inline
function watchClamps(levels: u32, lift: u32): void {
  const fell = fellLate(levels);
  const looked = fell | (load<u8>(AWAITED) & ~levels);
  store<u16>(AWAITED, (looked ? judgeKicks(fell, looked, lift) | (looked << 8) : 0) as u16);
}

/** Watches the supply and every driver while armed: what disagrees for long, or often, is a lockout. */
export function watchDrivers(): void {
  const lost = state.supplyMv < CONDUCTING_MV;
  if (state.turn === 0 && doubt(OF_SUPPLY, lost)) lockOut(N.LOCK_KEEP_ALIVE, state.supplyMv);
  if (lost) return;
  const levels = inputs.solenoidPins as u32;
  const lift = state.kickPair;
  if (lift) watchClamps(levels, lift);
  watchDrains(levels);
}

/** After a trip, until the relay has opened: a fault of a driver that shows by then is a lockout all the same. */
export function watchTripped(): void {
  if (state.supplyMv > state.batteryMv >> 1) watchDrains(inputs.solenoidPins as u32);
  else forgetDrivers();
}

/** Forgets what was seen, for example while nothing is armed; but not the doubts of clamps, which no pause mends. */
export function forgetDrivers(): void {
  state.pinsBefore = 0;
  memory.fill(DRIVER_DOUBTS, 0, OF_CLAMPS);
}
