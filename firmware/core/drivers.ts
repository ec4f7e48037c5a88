// Each solenoid driver's drain voltage against its pin: short, open load and stuck are told apart by voltage.
import { INPUTS_ADC_B, SUPPLY_MV_PER_CODE } from "./generated/blocks";
import * as N from "./generated/numbers";
import * as S from "./generated/settings";
import { lockOut } from "./latch";
import { DRIVER_TURNS, inputs, state } from "./state";

/** A conducting driver pulls its drain below this; a shorted one too, without being told to. */
const CONDUCTING_MV: u32 = 1_200;
const CONDUCTING: u32 = CONDUCTING_MV / SUPPLY_MV_PER_CODE;
/** An open load leaves the drain at the converter's bias, between conducting and this. */
const OPEN_LOAD_MV: u32 = 4_500;
const LOADED: u32 = OPEN_LOAD_MV / SUPPLY_MV_PER_CODE;
/** A disagreement must show in this many turns, 4 ms apart: pulses have edges, and currents take time. */
const TURNS: u32 = 4;

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
  if (level) return code > LOADED ? STUCK : 0;
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

/** Counts disagreements at each level by itself: what shows at one cannot show at the other. True when they are enough. */
function lasting(counter: usize, level: u32, seen: bool): bool {
  const before = load<u8>(counter) as u32;
  if (!seen && !before) return false;
  const turns: u32 = seen ? ((before >> (level << 2)) & 15) + 1 : 0;
  store<u8>(counter, ((before & (level ? 0x0f : 0xf0)) | (turns << (level << 2))) as u8);
  return turns >= TURNS;
}

function watchDriver(channel: u32): void {
  if (!configured(channel)) return;
  const level = ((inputs.solenoidPins as u32) >> channel) & 1;
  const what = wrong(drain(channel), level);
  if (lasting(DRIVER_TURNS + (channel as usize), level, what !== 0))
    lockOut(N.LOCK_DRIVER, faultOf(channel, what));
}

/** Watches the supply and, in its turn, each configured driver while armed; a lasting disagreement is a lockout. */
export function watchDrivers(): void {
  const lost = state.supplyMv < CONDUCTING_MV;
  if (state.turn === 0 && lasting(DRIVER_TURNS + 8, 0, lost)) lockOut(N.LOCK_KEEP_ALIVE, state.supplyMv);
  if (lost) return;
  const first = 2 * state.turn;
  const drains = load<u32>(INPUTS_ADC_B + ((first as usize) << 1));
  const levels = (inputs.solenoidPins as u32) >> first;
  const some = state.solenoids >> first;
  const quiet = !load<u16>(DRIVER_TURNS + (first as usize));
  if (
    quiet &&
    !(some & 1 && wrong(drains & 0xffff, levels & 1)) &&
    !(some & 2 && wrong(drains >> 16, levels & 2))
  )
    return;
  watchDriver(first);
  watchDriver(first + 1);
}

/** Forgets what was seen, for example while nothing is armed. */
export function forgetDrivers(): void {
  memory.fill(DRIVER_TURNS, 0, 12);
}
