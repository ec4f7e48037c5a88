// Turns raw inputs into speeds, openings and pressures, and says what of it cannot be believed.
import * as B from "./generated/blocks";
import { GEAR_BITS, SLOPE_BITS } from "./prepare";
import { addUntilFull, engine, GEAR_BOUNDS, inputs, road, Shaft, sensor, state } from "./state";

/** Without a pulse for this long a shaft counts as standing; two fresh pulses are needed again. */
const STILL_US: u32 = 1_000_000;
/** Bits of the channels that can have a sensor; battery and supply are judged otherwise. */
const FITTABLE: u32 = 0xff & ~((1 << B.ADC_BATTERY) | (1 << B.ADC_DRIVER_SUPPLY));
/** ADC rounds come once a tick; this many ticks without one is no longer live. */
const STALE_TICKS: u32 = 4;
/** Engine pulses may be missing for three periods, but never longer than this. */
const LOST_MAX_US: u32 = 60_000;

/** Speed for a period; no speed for none. */
// @inline
function speedOf(shaft: Shaft, periodUs: u32): u32 {
  return periodUs ? min<u32>(shaft.factor / periodUs, 0xffff) : 0;
}

function trusted(shaft: Shaft, fresh: u32): u32 {
  if (shaft.ageUs >= STILL_US) return fresh > 1 ? 2 : fresh;
  return min<u32>(shaft.trust + min<u32>(fresh, 2), 2);
}

/** Speed by the last period; by the time since the last pulse when that is longer. */
// @inline
function measureShaft(shaft: Shaft, pulses: u32, edgeUs: u32, periodUs: u32): void {
  const fresh = pulses - shaft.pulses;
  if (shaft.trust < 2 || shaft.ageUs >= STILL_US) shaft.trust = trusted(shaft, fresh);
  if (fresh) {
    shaft.pulses = pulses;
    shaft.ageUs = state.nowUs - edgeUs;
    shaft.pulseSpeed = speedOf(shaft, periodUs);
    shaft.speed = shaft.trust < 2 ? 0 : shaft.pulseSpeed;
  } else shaft.ageUs = addUntilFull(shaft.ageUs, state.dtUs);
  // Pulses were missed while flash was written: two fresh ones are needed again.
  if (!periodUs) shaft.trust = min<u32>(shaft.trust, 1);
  if (shaft.ageUs > periodUs) shaft.speed = shaft.trust < 2 ? 0 : speedOf(shaft, shaft.ageUs);
}

/** Is the last engine pulse older than its period explains? A speed guessed from silence must not open a window. */
function engineLost(): bool {
  const periodUs = inputs.enginePeriodUs;
  return engine.ageUs > (periodUs < LOST_MAX_US / 3 ? 3 * periodUs : LOST_MAX_US);
}

// @inline
function isGear(gear: u32, engineX800: u32): bool {
  const at = GEAR_BOUNDS + ((gear as usize) << 2);
  return engineX800 >= load<u16>(at) * road.speed && engineX800 < load<u16>(at, 2) * road.speed;
}

/** The gear whose bounds a ratio lies in: of eight, only the lowest whose least ratio it reaches can be it. */
function gearOf(ratio: u32): u32 {
  let at = ratio < load<u16>(GEAR_BOUNDS, 16) ? GEAR_BOUNDS + 20 : GEAR_BOUNDS + 4;
  if (ratio < load<u16>(at, 4)) at += 8;
  if (ratio < load<u16>(at)) at += 4;
  return ratio >= load<u16>(at) && ratio < load<u16>(at, 2) ? (((at - GEAR_BOUNDS) >> 2) as u32) : 0;
}

/** The gear whose ratio the two speeds fit, 1 to 8, or 0. No two gears share a ratio (see prepare.ts). */
// @inline
function measureGear(): u32 {
  if (road.speed < 20) return 0;
  const engineX800 = engine.speed * (100 << GEAR_BITS);
  return isGear(state.gear, engineX800) ? state.gear : gearOf(engineX800 / road.speed);
}

function code(channel: u32): i32 {
  return load<u16>(B.INPUTS_ADC_A + ((channel as usize) << 1));
}

/** Measures one channel. Returns its bit when its sensor is plausible or none is fitted, else 0. */
// @inline
function measureSensor(channel: u32): u32 {
  const fitted = sensor(channel);
  const bit: u32 = 1 << channel;
  if (!fitted.fitted) return bit;
  const here = code(channel);
  fitted.value = max<i32>((((here - fitted.zeroCode) * fitted.slope) >> SLOPE_BITS) + fitted.base, 0);
  return ((here - fitted.lowCode) as u32) <= fitted.codes ? bit : 0;
}

/** Measures the slow sensor whose turn it is. Returns `good` with its bit set or not. */
function measureSlow(good: u32): u32 {
  const turn = state.turn;
  if (turn === 0) return (good & ~(1 << B.ADC_BOTTLE)) | measureSensor(B.ADC_BOTTLE);
  if (turn === 1) return (good & ~(1 << B.ADC_FUEL)) | measureSensor(B.ADC_FUEL);
  if (turn === 2) return (good & ~(1 << B.ADC_LAMBDA)) | measureSensor(B.ADC_LAMBDA);
  return (good & ~(1 << B.ADC_COOLANT)) | measureSensor(B.ADC_COOLANT);
}

/** A slow sensor that is not believed is measured in every tick until it is: one bad sample counts once, not for a round. */
function measureAgain(good: u32): u32 {
  for (let channel: u32 = 0; channel < 8; channel++) {
    if (((FITTABLE & ~good) >> channel) & 1) good |= measureSensor(channel);
  }
  return good;
}

/** Throttle and manifold are measured in every tick; the slow sensors take turns. True when all fitted ones are believed. */
// @inline
function measureSensors(): bool {
  const fast: u32 = (1 << B.ADC_THROTTLE) | (1 << B.ADC_MANIFOLD);
  const before = state.sensorsGood | fast;
  const slow = before === FITTABLE ? before : measureAgain(before);
  const good = measureSlow(slow & ~fast) | measureSensor(B.ADC_THROTTLE) | measureSensor(B.ADC_MANIFOLD);
  state.sensorsGood = good;
  const throttle = sensor(B.ADC_THROTTLE);
  if (throttle.value > 1000) throttle.value = 1000;
  return good === FITTABLE;
}

/** Bits of the fitted sensors that are not believed, and from bit 16 the code of the lowest of them. */
export function doubtedSensors(): u32 {
  const bad = FITTABLE & ~state.sensorsGood;
  let lowest: u32 = 0;
  while (lowest < 7 && !((bad >> lowest) & 1)) lowest++;
  return bad | ((code(lowest) as u32) << 16);
}

/** Measures everything but the converters' own health. False when a fitted sensor cannot be believed. */
export function measure(): bool {
  measureShaft(engine, inputs.enginePulses, inputs.engineEdgeUs, inputs.enginePeriodUs);
  measureShaft(road, inputs.roadPulses, inputs.roadEdgeUs, inputs.roadPeriodUs);
  state.engineLost = engineLost() ? 1 : 0;
  if (state.gears) state.gear = measureGear();
  state.batteryMv = (code(B.ADC_BATTERY) as u32) * B.SUPPLY_MV_PER_CODE;
  state.supplyMv = (code(B.ADC_DRIVER_SUPPLY) as u32) * B.SUPPLY_MV_PER_CODE;
  return measureSensors();
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
  const rounds = inputs.adcRounds as u32;
  if (rounds !== state.adcRounds) {
    state.adcRounds = rounds;
    state.adcStaleTicks = 0;
  } else {
    state.adcStaleTicks = min<u32>(state.adcStaleTicks + 1, STALE_TICKS);
    if (state.adcStaleTicks >= STALE_TICKS) return false;
  }
  return !inputs.adcMissing && (code(1) !== code(0) || !onePattern());
}
