// Turns raw inputs into speeds, openings and pressures, and says what of it cannot be believed.
import * as B from "./generated/blocks";
import { SLOPE_BITS } from "./prepare";
import { addUntilFull, engine, GEAR_BOUNDS, inputs, road, Shaft, sensor, state } from "./state";

/** Without a pulse for this long a shaft counts as standing; two fresh pulses are needed again. */
const STILL_US: u32 = 1_000_000;
/** Bits of the channels that can have a sensor; battery and supply are judged otherwise. */
const FITTABLE: u32 = 0b0101_1111;
/** ADC rounds come once a tick; this many ticks without one is no longer live. */
const STALE_TICKS: u32 = 4;

/** Speed by the longer of the last period and the time since the last pulse. */
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
  if (fresh || shaft.ageUs > periodUs) shaft.speed = speed(shaft, periodUs);
}

/** The gear whose ratio the two speeds fit, 1 to 8, or 0. */
function measureGear(): u32 {
  if (road.speed < 20) return 0;
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

/** Measures one channel, and notes whether a sensor that is fitted there is plausible. */
function measureSensor(channel: u32): void {
  const fitted = sensor(channel);
  const bit: u32 = 1 << channel;
  if (!fitted.fitted) {
    state.sensorsGood |= bit;
    return;
  }
  const here = code(channel);
  fitted.value = max<i32>((((here - fitted.zeroCode) * fitted.slope) >> SLOPE_BITS) + fitted.base, 0);
  const good = here >= fitted.lowCode && here <= fitted.highCode;
  state.sensorsGood = good ? state.sensorsGood | bit : state.sensorsGood & ~bit;
}

/** The slow sensors take turns: each is measured every fourth tick. */
function measureSlow(): void {
  if (state.turn === 0) measureSensor(B.ADC_BOTTLE);
  else if (state.turn === 1) measureSensor(B.ADC_FUEL);
  else if (state.turn === 2) measureSensor(B.ADC_LAMBDA);
  else measureSensor(B.ADC_COOLANT);
}

/** Measures everything but the converters' own health. False when a fitted sensor cannot be believed. */
export function measure(): bool {
  measureShaft(engine, inputs.enginePulses, inputs.engineEdgeUs, inputs.enginePeriodUs);
  measureShaft(road, inputs.roadPulses, inputs.roadEdgeUs, inputs.roadPeriodUs);
  if (state.gears) state.gear = measureGear();
  state.batteryMv = (code(B.ADC_BATTERY) as u32) * B.SUPPLY_MV_PER_CODE;
  state.supplyMv = (code(B.ADC_DRIVER_SUPPLY) as u32) * B.SUPPLY_MV_PER_CODE;
  measureSensor(B.ADC_THROTTLE);
  measureSensor(B.ADC_MANIFOLD);
  measureSlow();
  const throttle = sensor(B.ADC_THROTTLE);
  throttle.value = min<i32>(throttle.value, 1000);
  return (state.sensorsGood & FITTABLE) === FITTABLE;
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
