// Turns raw inputs into speeds, openings and pressures, and says what of it cannot be believed.
import * as B from "./generated/blocks";
import { SLOPE_BITS } from "./prepare";
import { addUntilFull, engine, GEAR_BOUNDS, inputs, road, Shaft, sensor, state } from "./state";

/** Without a pulse for this long a shaft counts as standing; two fresh pulses are needed again. */
const STILL_US: u32 = 1_000_000;
/** ADC rounds come once a tick; this many ticks without one is no longer live. */
const STALE_TICKS: u32 = 4;

function speed(shaft: Shaft, periodUs: u32): u32 {
  if (shaft.trust < 2) return 0;
  const longest = max<u32>(periodUs, shaft.ageUs);
  return longest ? min<u32>(shaft.factor / longest, 0xffff) : 0;
}

function trusted(shaft: Shaft, fresh: u32): u32 {
  if (shaft.ageUs >= STILL_US) return fresh > 1 ? 2 : fresh;
  return min<u32>(shaft.trust + min<u32>(fresh, 2), 2);
}

function measureShaft(shaft: Shaft, pulses: u32, edgeUs: u32, periodUs: u32): void {
  const fresh = pulses - shaft.pulses;
  shaft.pulses = pulses;
  shaft.trust = trusted(shaft, fresh);
  shaft.ageUs = fresh ? state.nowUs - edgeUs : addUntilFull(shaft.ageUs, state.dtUs);
  shaft.speed = speed(shaft, periodUs);
}

/** The gear whose ratio the two speeds fit, 1 to 8, or 0. */
function measureGear(): u32 {
  if (!state.gears || road.speed < 20) return 0;
  const ratio = (engine.speed * 100) / road.speed;
  for (let g: u32 = 0; g < state.gears; g++) {
    const at = GEAR_BOUNDS + ((g as usize) << 2);
    if (ratio >= load<u16>(at) && ratio <= load<u16>(at + 2)) return g + 1;
  }
  return 0;
}

function code(channel: u32): i32 {
  return load<u16>(B.INPUTS_ADC_A + ((channel as usize) << 1));
}

/** Measures one channel; false when a sensor is fitted there and its voltage is not plausible. */
function measureSensor(channel: u32): bool {
  const fitted = sensor(channel);
  if (!fitted.fitted) return true;
  const here = code(channel);
  fitted.value = max<i32>((((here - fitted.zeroCode) * fitted.slope) >> SLOPE_BITS) + fitted.base, 0);
  return here >= fitted.lowCode && here <= fitted.highCode;
}

/** Measures everything but the converters' own health. False when a fitted sensor cannot be believed. */
export function measure(): bool {
  measureShaft(engine, inputs.enginePulses, inputs.engineEdgeUs, inputs.enginePeriodUs);
  measureShaft(road, inputs.roadPulses, inputs.roadEdgeUs, inputs.roadPeriodUs);
  state.gear = measureGear();
  state.batteryMv = (code(B.ADC_BATTERY) as u32) * B.SUPPLY_MV_PER_CODE;
  state.supplyMv = (code(B.ADC_DRIVER_SUPPLY) as u32) * B.SUPPLY_MV_PER_CODE;
  let good = true;
  for (let channel: u32 = 0; channel < 8; channel++) {
    if (!measureSensor(channel)) good = false;
  }
  sensor(B.ADC_THROTTLE).value = min<i32>(sensor(B.ADC_THROTTLE).value, 1000);
  return good;
}

/** Do all channels of ADC A show the same code? Battery and sensors never do while the converter is alive. */
function onePattern(): bool {
  const first = code(0);
  for (let channel: u32 = 1; channel < 8; channel++) {
    if (code(channel) !== first) return false;
  }
  return true;
}

/** Do both converters answer with live values? */
export function convertersLive(): bool {
  const moved = inputs.adcRounds !== state.adcRounds;
  state.adcRounds = inputs.adcRounds;
  state.adcStaleTicks = moved ? 0 : min<u32>(state.adcStaleTicks + 1, STALE_TICKS);
  return state.adcStaleTicks < STALE_TICKS && !inputs.adcMissing && !onePattern();
}
