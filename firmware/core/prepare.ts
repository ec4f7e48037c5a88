// Works out, once for each settings block, what a tick would otherwise have to divide by.
import * as B from "./generated/blocks";
import * as S from "./generated/settings";
import { prepareLead } from "./lead";
import { patternPeriods } from "./patterns";
import { prepareRamps } from "./ramps";
import { prepareRetard } from "./retard";
import {
  engine,
  GEAR_BOUNDS,
  road,
  Sensor,
  sensor,
  setting,
  stageSettings,
  stageState,
  state,
} from "./state";
import { prepareWindows } from "./windows";

/** Millivolts of a sensor for 4096 codes. */
const SENSOR_FULL_MV: u32 = 5000;
/** One more than the largest code. */
const FULL_CODES: u32 = 4096;
/** Bits of fraction in a sensor's slope: 10000 over the least 327 codes, times 4095 codes, stays under 2^31. */
export const SLOPE_BITS: u32 = 14;
/** Bits of fraction in the bounds of gears: 6000 and 15 % more stay under 2^16, and 1 % of 50 is not lost. */
export const GEAR_BITS: u32 = 3;

function codeOf(mv: u32): i32 {
  return ((mv << 12) / SENSOR_FULL_MV) as i32;
}

function calibrate(channel: u32, lowMv: u32, low: u32, highMv: u32, high: u32): Sensor {
  const fitted = sensor(channel);
  fitted.fitted = 1;
  fitted.zeroCode = codeOf(lowMv);
  fitted.slope = (((high - low) as i32) << SLOPE_BITS) / (codeOf(highMv) - codeOf(lowMv));
  fitted.base = low as i32;
  return fitted;
}

/** `at` is the place of the two plausible voltages. */
function bound(fitted: Sensor, at: usize): void {
  fitted.lowCode = codeOf(setting(at));
  fitted.codes = codeOf(setting(at + 2)) - fitted.lowCode;
}

/** A sensor whose group begins with its two calibration points and its plausible voltages. */
function twoPoint(channel: u32, present: usize): void {
  if (!setting(present)) return;
  const at = present + 2;
  bound(calibrate(channel, setting(at), setting(at + 2), setting(at + 4), setting(at + 6)), at + 8);
}

function prepareSensors(): void {
  for (let channel: u32 = 0; channel < 8; channel++) sensor(channel).fitted = 0;
  twoPoint(B.ADC_MANIFOLD, S.MANIFOLD_PRESENT);
  twoPoint(B.ADC_BOTTLE, S.BOTTLE_PRESENT);
  twoPoint(B.ADC_FUEL, S.FUEL_PRESENT);
  twoPoint(B.ADC_LAMBDA, S.LAMBDA_PRESENT);
  if (setting(S.COOLANT_PRESENT))
    bound(calibrate(B.ADC_COOLANT, 0, 0, SENSOR_FULL_MV, SENSOR_FULL_MV), S.COOLANT_AT);
  if (!setting(S.THROTTLE_POSITION_PRESENT)) return;
  const at = S.THROTTLE_POSITION_AT;
  bound(calibrate(B.ADC_THROTTLE, setting(at), 0, setting(at + 2), 1000), at + 4);
}

/** A ratio that fits two gears counts as the lower one. Ratios fall from gear to gear. */
function prepareGears(): void {
  state.gears = setting(S.GEARBOX_PRESENT) ? setting(S.GEARBOX_GEARS_COUNT) : 0;
  state.gear = 0;
  memory.fill(GEAR_BOUNDS, 0, 36);
  let below: u32 = 0xffff;
  for (let g: u32 = 0; g < state.gears; g++) {
    const ratio = setting(S.GEARBOX_GEARS_FIRST + ((g as usize) << 1)) << GEAR_BITS;
    const off = (ratio * setting(S.GEARBOX_TOLERANCE_PERMILLE)) / 1000;
    const at = GEAR_BOUNDS + (((g + 1) as usize) << 2);
    store<u16>(at, (ratio - off) as u16);
    store<u16>(at, min<u32>(ratio + off + 1, below) as u16, 2);
    below = ratio - off;
  }
}

/** Counts a solenoid in, whose words lie at `at`. */
function addSolenoid(at: usize, channel: u32): void {
  state.solenoids |= 1 << channel;
  const fastest = min<u32>(min<u32>(load<u16>(at), load<u16>(at, 2)), load<u16>(at, 4));
  if (fastest < 3 * B.TRY_US) state.opensSlowly = 0;
  if ((load<u16>(at, 6) as u32) < 3 * B.GAP_US) state.closesSlowly = 0;
}

/** What each stage has and where it lies, so that a tick need not look it up. */
function prepareStages(): void {
  state.portions = 0;
  state.wetStages = 0;
  state.solenoids = 0;
  state.opensSlowly = 1;
  state.closesSlowly = 1;
  for (let s: u32 = 0; s < S.STAGES; s++) {
    const stage = stageState(s);
    const at = stageSettings(s);
    stage.number = s;
    stage.bit = 1 << s;
    stage.longestUs = (load<u16>(at, S.STAGE_LONGEST_MS) as u32) * 1000;
    const within = load<u16>(at, S.STAGE_ENRICHMENT_WITHIN_MS) as u32;
    stage.confirmUs = load<u16>(at, S.STAGE_ENRICHMENT_PRESENT) ? within * 1000 : 0;
    stage.settings = at;
    stage.wet = load<u16>(at, S.STAGE_FUEL_SOLENOID_PRESENT);
    stage.windowsLeft = 0;
    prepareRamps(stage);
    if (s >= setting(S.STAGES_COUNT)) continue;
    state.portions += load<u16>(at, S.STAGE_PORTION_PERMILLE) as u32;
    const wet = load<u16>(at, S.STAGE_FUEL_SOLENOID_PRESENT) as u32;
    state.wetStages |= wet << s;
    addSolenoid(at + S.STAGE_NITROUS_SOLENOID_AT, 2 * s);
    if (wet) addSolenoid(at + S.STAGE_FUEL_SOLENOID_AT, 2 * s + 1);
  }
}

/** What lifts a code at the limit of a kick to 4096, in both halves of a word. */
function kickPair(): u32 {
  return (FULL_CODES - setting(S.CLAMPS_KICK_MV) / B.SUPPLY_MV_PER_CODE) * 0x10001;
}

/** Prepares the state for the settings in force. They must have passed the judge. */
export function prepare(): void {
  engine.factor = 120_000_000 / setting(S.ENGINE_PULSES_HALF_PULSES);
  road.factor = setting(S.ROAD_PRESENT) ? (3_600_000_000 / setting(S.ROAD_PULSES_PER_KM)) * 10 : 0;
  state.unevenX64k = (setting(S.ENGINE_JUMP_UNEVENNESS_PERMILLE) << 16) / 1000;
  state.periodSteps = 1_000_000 / B.PWM_STEP_US / setting(S.FLOW_FREQUENCY_HZ);
  state.patternPeriods = patternPeriods(setting(S.FLOW_FREQUENCY_HZ));
  state.kickPair = setting(S.CLAMPS_PRESENT) ? kickPair() : 0;
  state.longestRunUs = setting(S.FLOW_LONGEST_RUN_MS) * 1000;
  prepareStages();
  prepareSensors();
  prepareGears();
  prepareWindows();
  prepareLead();
  prepareRetard();
}
