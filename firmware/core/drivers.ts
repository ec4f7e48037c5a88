// Each solenoid driver's drain voltage against its pin: short, open load and stuck are told apart by voltage.
import { INPUTS_ADC_B, SUPPLY_MV_PER_CODE } from "./generated/blocks";
import * as N from "./generated/numbers";
import * as S from "./generated/settings";
import { lockOut } from "./modes";
import { DRIVER_TICKS, inputs, setting, stageSettings, state } from "./state";

/** A conducting driver pulls its drain below this; a shorted one too, without being told to. */
const CONDUCTING_MV: u32 = 1_200;
/** An open load leaves the drain at the converter's bias, between conducting and this. */
const OPEN_LOAD_MV: u32 = 4_500;
/** A disagreement must show this many ticks in a row: pulses have edges, and currents take time. */
const TICKS: u32 = 12;

const SHORTED: u32 = 1;
const OPEN_LOAD: u32 = 2;
const STUCK: u32 = 3;

function configured(channel: u32): bool {
  const s = channel >> 1;
  if (s >= setting(S.STAGES_COUNT)) return false;
  return (channel & 1) === 0 || setting(stageSettings(s) + S.STAGE_FUEL_SOLENOID_PRESENT) !== 0;
}

function drainMv(channel: u32): u32 {
  return (load<u16>(INPUTS_ADC_B + ((channel as usize) << 1)) as u32) * SUPPLY_MV_PER_CODE;
}

/** What is wrong with a driver now, for a pin at `level`; 0 for nothing. */
function wrong(channel: u32, level: u32): u32 {
  const mv = drainMv(channel);
  if (level) return mv > OPEN_LOAD_MV ? STUCK : 0;
  if (mv < CONDUCTING_MV) return SHORTED;
  return mv < OPEN_LOAD_MV ? OPEN_LOAD : 0;
}

function code(channel: u32, what: u32): u32 {
  return ((channel + 1) << 8) | what;
}

/** With every pin low and the relay closed: the first fault as (channel + 1) x 256 + kind, or 0. */
export function driversAtRest(): u32 {
  for (let channel: u32 = 0; channel < 2 * S.STAGES; channel++) {
    if (!configured(channel)) continue;
    const what = wrong(channel, 0);
    if (what) return code(channel, what);
  }
  return 0;
}

/** A relay that drops by itself starves fuel and nitrous alike. */
function supplyLost(): bool {
  const at = DRIVER_TICKS + 8;
  const ticks: u32 = state.supplyMv < CONDUCTING_MV ? (load<u8>(at) as u32) + 1 : 0;
  store<u8>(at, ticks as u8);
  if (ticks >= TICKS) lockOut(N.LOCK_KEEP_ALIVE, state.supplyMv);
  return ticks > 0;
}

/** Watches supply and every configured driver while armed; a lasting disagreement is a lockout. */
export function watchDrivers(): void {
  if (supplyLost()) return;
  for (let channel: u32 = 0; channel < 2 * S.STAGES; channel++) {
    if (!configured(channel)) continue;
    const at = DRIVER_TICKS + (channel as usize);
    const what = wrong(channel, (inputs.solenoidPins >> (channel as u16)) & 1);
    const ticks: u32 = what ? (load<u8>(at) as u32) + 1 : 0;
    store<u8>(at, ticks as u8);
    if (ticks >= TICKS) lockOut(N.LOCK_DRIVER, code(channel, what));
  }
}

/** Forgets what was seen, for example while nothing is armed. */
export function forgetDrivers(): void {
  memory.fill(DRIVER_TICKS, 0, 12);
}
