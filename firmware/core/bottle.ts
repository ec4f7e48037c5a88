// Purge, heater and bottle valve: each off in doubt, none of them ever while it could feed or cook what it should not.
import * as B from "./generated/blocks";
import * as N from "./generated/numbers";
import * as S from "./generated/settings";
import { addUntilFull, inputs, isArmed, sensor, setting, state } from "./state";
import { throttleClosed } from "./throttle";

/** What has been purged counts until nothing has been purged for a minute: so no minute sees more than one may. */
const MINUTE_US: u32 = 60_000_000;
/** Modes in which the heater may be on; while it flows, the battery belongs to the solenoids. */
const HEATS: u32 = (1 << N.MODE_OFF) | (1 << N.MODE_ARMING) | (1 << N.MODE_ARMED);
/** With less than this in front of the sensor no bottle is open: liquid has this even at -37 C. */
export const NO_PRESSURE_KPA: i32 = 1_000;

function forget(): void {
  state.purgeQuietUs = addUntilFull(state.purgeQuietUs, state.roundUs);
  if (state.purgeQuietUs >= MINUTE_US) state.purgeSpentUs = 0;
}

/** Is a purge wanted, allowed, and not used up? A press that has ended, or found the minute spent, is over until the next. */
function mayPurge(flowing: u32): bool {
  if (!(inputs.switches & B.SWITCH_PURGE)) {
    state.purgeUs = 0;
    return false;
  }
  const longest = setting(S.PURGE_LONGEST_MS) * 1000;
  const spent = state.purgeSpentUs >= setting(S.PURGE_EACH_MINUTE_MS) * 1000;
  const may = !flowing && state.mode === N.MODE_ARMED && throttleClosed();
  if (may && !spent && state.purgeUs < longest) return true;
  if (spent || state.purgeUs) state.purgeUs = longest;
  return false;
}

function purges(flowing: u32): bool {
  if (!setting(S.PURGE_PRESENT)) return false;
  if (!mayPurge(flowing)) {
    forget();
    return false;
  }
  state.purgeQuietUs = 0;
  state.purgeUs = addUntilFull(state.purgeUs, state.roundUs);
  state.purgeSpentUs = addUntilFull(state.purgeSpentUs, state.roundUs);
  return true;
}

function valveOpen(): bool {
  const wanted = (inputs.switches & B.SWITCH_BOTTLE_VALVE) !== 0;
  const open = setting(S.BOTTLE_VALVE_PRESENT) !== 0 && isArmed() && wanted;
  state.valveOpenUs = open ? addUntilFull(state.valveOpenUs, state.roundUs) : 0;
  return open;
}

/** May the heater be on at all, whatever the thermostat says? Not where the sensor sees no bottle: nothing would end it. */
function heaterAllowed(sensorsGood: bool): bool {
  if (!sensorsGood || !((HEATS >> state.mode) & 1)) return false;
  if (state.batteryMv < setting(S.BATTERY_LOWEST_MV) || state.heaterSpent) return false;
  if (setting(S.BOTTLE_VALVE_PRESENT) && !state.valveOpenUs) return false;
  const pressure = sensor(B.ADC_BOTTLE).value;
  return pressure >= NO_PRESSURE_KPA && pressure < (setting(S.BOTTLE_HIGHEST_KPA_GAUGE) as i32);
}

function thermostat(): void {
  const pressure = sensor(B.ADC_BOTTLE).value;
  if (pressure < (setting(S.HEATER_ON_BELOW_KPA_GAUGE) as i32)) state.heaterOn = 1;
  else if (pressure >= (setting(S.HEATER_OFF_AT_KPA_GAUGE) as i32)) state.heaterOn = 0;
}

function heats(sensorsGood: bool): bool {
  if (!setting(S.HEATER_PRESENT)) return false;
  if (!(inputs.switches & B.SWITCH_HEATER)) {
    state.heaterUs = 0;
    state.heaterSpent = 0;
    state.heaterOn = 0;
    return false;
  }
  thermostat();
  const on = state.heaterOn === 1 && heaterAllowed(sensorsGood);
  if (on) state.heaterUs = addUntilFull(state.heaterUs, state.roundUs);
  if (state.heaterUs >= min<u32>(setting(S.HEATER_LONGEST_S), 3_600) * 1_000_000) state.heaterSpent = 1;
  return on;
}

/** Bits of the outputs around the bottle, worked out once a round of turns. */
export function bottleOutputs(flowing: u32, sensorsGood: bool): u32 {
  if (!state.settingsValid) return 0;
  let flags: u32 = valveOpen() ? B.OUTPUT_BOTTLE_VALVE : 0;
  if (purges(flowing)) flags |= B.OUTPUT_PURGE;
  return heats(sensorsGood) ? flags | B.OUTPUT_HEATER : flags;
}

/** What of these bits may stay on in this tick. */
export function bottleAllowed(flowing: u32, sensorsGood: bool): u32 {
  let allowed: u32 = isArmed() ? B.OUTPUT_BOTTLE_VALVE : 0;
  if (!flowing && state.mode === N.MODE_ARMED) allowed |= B.OUTPUT_PURGE;
  return sensorsGood && (HEATS >> state.mode) & 1 ? allowed | B.OUTPUT_HEATER : allowed;
}
