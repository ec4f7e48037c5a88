// Turns raw inputs into speeds, openings and pressures, and says which sensor cannot be believed.
import {
  ADC_BATTERY,
  ADC_MANIFOLD,
  ADC_THROTTLE,
  INPUTS_ADC_A,
  SUPPLY_MV_PER_CODE,
} from "./generated/blocks";
import * as S from "./generated/settings";
import { addUntilFull, inputs, setting, state } from "./state";

/** Without a pulse for this long a wheel or shaft counts as standing; two fresh pulses are needed again. */
const STILL_US: u32 = 1_000_000;
/** ADC rounds come once a tick; this many ticks without one is no longer live. */
const STALE_TICKS: u32 = 4;

function speed(factor: u32, periodUs: u32, ageUs: u32, trust: u32): u32 {
  if (trust < 2) return 0;
  const longest = max<u32>(periodUs, ageUs);
  if (longest === 0) return 0;
  return min<u32>(factor / longest, 0xffff);
}

/** Pulses that count towards trust: a period is believed only between two pulses that are both fresh. */
function trusted(trust: u32, ageUs: u32, fresh: u32): u32 {
  if (ageUs >= STILL_US) return fresh > 1 ? 2 : fresh;
  return min<u32>(trust + min<u32>(fresh, 2), 2);
}

function measureEngine(): void {
  const fresh = inputs.enginePulses - state.enginePulses;
  state.enginePulses = inputs.enginePulses;
  state.engineTrust = trusted(state.engineTrust, state.engineAgeUs, fresh);
  state.engineAgeUs = fresh ? state.nowUs - inputs.engineEdgeUs : addUntilFull(state.engineAgeUs, state.dtUs);
  state.engineRpm = speed(state.engineRpmUs, inputs.enginePeriodUs, state.engineAgeUs, state.engineTrust);
}

function measureRoad(): void {
  const fresh = inputs.roadPulses - state.roadPulses;
  state.roadPulses = inputs.roadPulses;
  state.roadTrust = trusted(state.roadTrust, state.roadAgeUs, fresh);
  state.roadAgeUs = fresh ? state.nowUs - inputs.roadEdgeUs : addUntilFull(state.roadAgeUs, state.dtUs);
  state.roadDeciKmh = speed(state.roadDeciKmhUs, inputs.roadPeriodUs, state.roadAgeUs, state.roadTrust);
}

function code(channel: u32): u32 {
  return load<u16>(INPUTS_ADC_A + ((channel as usize) << 1));
}

/** Codes of a voltage at the sensor: 4096 codes are 5 V. */
function codeOf(mv: u32): i32 {
  return ((mv << 12) / 5000) as i32;
}

function scaled(channel: u32, lowMv: u32, slope: i32): i32 {
  return (((code(channel) as i32) - codeOf(lowMv)) * slope) >> 16;
}

/** Does the channel answer, and inside its plausible voltages? */
function plausible(channel: u32, lowMv: u32, highMv: u32): bool {
  if (((inputs.adcMissing as u32) >> channel) & 1) return false;
  const here = code(channel) as i32;
  return here >= codeOf(lowMv) && here <= codeOf(highMv);
}

function measureThrottle(): bool {
  if (!setting(S.THROTTLE_POSITION_PRESENT)) return true;
  const share = scaled(ADC_THROTTLE, setting(S.THROTTLE_POSITION_CLOSED_MV), state.throttleSlope);
  state.throttlePermille = min<i32>(max<i32>(share, 0), 1000);
  return plausible(
    ADC_THROTTLE,
    setting(S.THROTTLE_POSITION_PLAUSIBLE_LOW_MV),
    setting(S.THROTTLE_POSITION_PLAUSIBLE_HIGH_MV),
  );
}

function measureManifold(): bool {
  if (!setting(S.MANIFOLD_PRESENT)) return true;
  const rise = scaled(ADC_MANIFOLD, setting(S.MANIFOLD_LOW_POINT_MV), state.manifoldSlope);
  state.manifoldDeciKpa = max<i32>(rise + (setting(S.MANIFOLD_LOW_PRESSURE_DECI_KPA) as i32), 0);
  return plausible(ADC_MANIFOLD, setting(S.MANIFOLD_PLAUSIBLE_LOW_MV), setting(S.MANIFOLD_PLAUSIBLE_HIGH_MV));
}

function adcLive(): bool {
  const moved = inputs.adcRounds !== state.adcRounds;
  state.adcRounds = inputs.adcRounds;
  state.adcStaleTicks = moved ? 0 : min<u32>(state.adcStaleTicks + 1, STALE_TICKS);
  return state.adcStaleTicks < STALE_TICKS;
}

/** Measures everything. False when a sensor that the settings name cannot be believed in this tick. */
export function measure(): bool {
  measureEngine();
  measureRoad();
  state.batteryMv = code(ADC_BATTERY) * SUPPLY_MV_PER_CODE;
  const throttleGood = measureThrottle();
  const manifoldGood = measureManifold();
  return adcLive() && throttleGood && manifoldGood;
}
