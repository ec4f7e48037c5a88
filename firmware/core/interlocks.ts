// What holds flow off now, and what trips. Every check is made in every tick; nothing here ever lets flow begin.
import { INPUTS_ADC_A, SWITCH_ARM, SWITCH_ENRICH, SWITCH_THROTTLE } from "./generated/blocks";
import * as N from "./generated/numbers";
import * as S from "./generated/settings";
import { cannotArm, trip } from "./modes";
import { inputs, Stage, setting, stageSettings, stageState, state } from "./state";
import { systemWindows } from "./windows";

/** After arming the relay needs this long before flow may begin. */
const SETTLE_US: u32 = 50_000;
/** The arm switch must have been steady this long. */
const STEADY_US: u32 = 5_000;
/** So many ticks in a row of an implausible sensor trip. */
const SENSOR_TICKS: u32 = 3;
/** Engine pulses may be missing for three periods, but never longer than this. */
const LOST_MAX_US: u32 = 60_000;

function throttleProven(): bool {
  if (setting(S.THROTTLE_SWITCH) && !(inputs.switches & SWITCH_THROTTLE)) return false;
  if (!setting(S.THROTTLE_POSITION_PRESENT)) return true;
  const least = setting(
    state.throttleIn ? S.THROTTLE_POSITION_CLOSES_AT_PERMILLE : S.THROTTLE_POSITION_OPENS_AT_PERMILLE,
  );
  state.throttleIn = state.throttlePermille >= (least as i32) ? 1 : 0;
  return state.throttleIn === 1;
}

function armReasons(): u32 {
  const on = inputs.switches & SWITCH_ARM;
  if (state.mode === N.MODE_OFF || state.mode === N.MODE_TRIPPED) {
    return cannotArm() | (state.bootHold && on ? 1 << N.LOCK_ARM_BOOT : 1 << N.LOCK_ARM);
  }
  const ready = on && state.armOnUs >= STEADY_US && state.armedUs >= SETTLE_US;
  return ready ? 0 : 1 << N.LOCK_ARM;
}

/** Works out the bits of all interlocks that hold every stage off. */
export function judgeReasons(sensorsGood: bool): void {
  let reasons = armReasons();
  if (state.settingsValid) {
    if (!throttleProven()) reasons |= 1 << N.LOCK_WOT;
    reasons |= systemWindows();
    if (!sensorsGood) reasons |= 1 << N.LOCK_SENSOR;
  }
  if (state.mode === N.MODE_TRIPPED) reasons |= 1 << state.trip;
  state.reasons = reasons;
}

function judgeSensors(good: bool): void {
  state.sensorBad = good ? 0 : min<u32>(state.sensorBad + 1, SENSOR_TICKS);
  if (state.sensorBad >= SENSOR_TICKS) trip(N.LOCK_SENSOR, load<u32>(INPUTS_ADC_A));
}

function judgeEngine(): void {
  if (state.mode === N.MODE_FLOWING) state.engineLostWatch = 1;
  else if (state.engineAgeUs <= state.dtUs) state.engineLostWatch = 0;
  if (!state.engineLostWatch) return;
  const periods = inputs.enginePeriodUs;
  const limit: u32 = periods < LOST_MAX_US / 3 ? 3 * periods : LOST_MAX_US;
  if (state.engineAgeUs > limit) trip(N.LOCK_RPM_LOST, state.engineAgeUs);
}

function judgeTimes(): void {
  if (state.runFlowedUs > setting(S.FLOW_LONGEST_RUN_MS) * 1000) trip(N.LOCK_TIME, state.runFlowedUs);
  const count = setting(S.STAGES_COUNT);
  for (let s: u32 = 0; s < count; s++) judgeStage(stageState(s), stageSettings(s));
}

function judgeStage(stage: Stage, at: usize): void {
  if (stage.flowedUs > setting(at + S.STAGE_LONGEST_MS) * 1000) trip(N.LOCK_TIME, stage.flowedUs);
  if (!setting(at + S.STAGE_ENRICHMENT_PRESENT)) return;
  const waiting = stage.shareX32 > 0 && !(inputs.switches & SWITCH_ENRICH);
  stage.unconfirmedUs = waiting ? stage.unconfirmedUs + state.dtUs : 0;
  if (stage.unconfirmedUs > setting(at + S.STAGE_ENRICHMENT_WITHIN_MS) * 1000)
    trip(N.LOCK_ENRICH, stage.unconfirmedUs);
}

/** Trips what has to trip. Only an armed controller trips: in off nothing can flow. */
export function judgeTrips(sensorsGood: bool): void {
  if (state.mode === N.MODE_OFF || !state.settingsValid) return;
  judgeSensors(sensorsGood);
  judgeEngine();
  judgeTimes();
}
