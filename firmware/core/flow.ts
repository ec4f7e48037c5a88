// The stages: when each may flow, how its share rises, and that everything stops at once.
import { OUTPUTS_PULSE, SWITCH_LAUNCH } from "./generated/blocks";
import * as N from "./generated/numbers";
import * as S from "./generated/settings";
import { allowedShare } from "./ramps";
import { drive } from "./solenoids";
import { addUntilFull, inputs, Stage, setting, stageState, state } from "./state";
import { stageWindows } from "./windows";

/** Nothing may have held flow off for this long before it begins: a filter that only ever delays opening. */
const CLEAR_US: u32 = 20_000;
/** Rise limit in percent a second x microseconds for one unit of share: 100 % is 32000 units. */
const RISE_UNIT: u32 = 3_125;

function mayFlow(): bool {
  return state.mode === N.MODE_ARMED || state.mode === N.MODE_FLOWING;
}

/** Noise at the arm switch holds the pins low but does not lose the place in the ramps. */
function onlyNoise(): bool {
  return state.reasons === 1 << N.LOCK_ARM && mayFlow();
}

function followLaunch(): void {
  const now: u32 = inputs.switches & SWITCH_LAUNCH ? 1 : 0;
  const wanted: u32 = setting(S.LAUNCH_STARTS_AT) ? 0 : 1;
  const started = setting(S.LAUNCH_PRESENT) && now !== state.launchSwitch && now === wanted && mayFlow();
  state.launchSwitch = now;
  if (started) {
    state.launched = 1;
    state.launchMs = 0;
    state.launchRestUs = 0;
  } else if (state.launched) {
    state.launchRestUs += state.dtUs;
    const wholeMs = state.launchRestUs / 1000;
    state.launchMs = addUntilFull(state.launchMs, wholeMs);
    state.launchRestUs -= wholeMs * 1000;
  }
}

function followRise(): void {
  state.riseRest += setting(S.FLOW_RISE_LIMIT_PERCENT_PER_S) * state.dtUs;
  const units = state.riseRest / RISE_UNIT;
  state.riseRest -= units * RISE_UNIT;
  state.riseX32 = units as i32;
}

function close(stage: Stage): void {
  stage.shareX32 = 0;
  stage.openMs = 0;
  stage.openRestUs = 0;
}

function advance(s: u32, stage: Stage): void {
  stage.openRestUs += state.dtUs;
  const wholeMs = stage.openRestUs / 1000;
  stage.openMs += wholeMs;
  stage.openRestUs -= wholeMs * 1000;
  stage.shareX32 = min<i32>(allowedShare(s, stage), stage.shareX32 + state.riseX32);
}

/** Moves one stage on; true when its nitrous solenoid is driven. */
function runStage(s: u32, clear: bool, hold: bool): bool {
  const stage = stageState(s);
  stage.reasons = stageWindows(s);
  if (hold) {
    drive(s, 0);
    return false;
  }
  if (clear && stage.reasons === 0) advance(s, stage);
  else close(stage);
  drive(s, stage.shareX32);
  const flows = load<u16>(OUTPUTS_PULSE + ((4 * s) as usize)) > 0;
  if (flows) stage.flowedUs = addUntilFull(stage.flowedUs, state.dtUs);
  return flows;
}

function forget(): void {
  for (let s: u32 = 0; s < S.STAGES; s++) {
    const stage = stageState(s);
    close(stage);
    stage.flowedUs = 0;
    stage.unconfirmedUs = 0;
    stage.reasons = 0;
  }
}

/** Runs all stages; returns one bit for each that flows. Outputs.pulse must have been cleared before. */
export function runStages(): u32 {
  if (!state.settingsValid) return 0;
  followLaunch();
  followRise();
  if (state.mode === N.MODE_OFF) forget();
  const hold = onlyNoise();
  if (!hold) state.clearUs = state.reasons === 0 && mayFlow() ? addUntilFull(state.clearUs, state.dtUs) : 0;
  const clear = state.clearUs >= CLEAR_US;
  let flowing: u32 = 0;
  const count = setting(S.STAGES_COUNT);
  for (let s: u32 = 0; s < count; s++) {
    if (runStage(s, clear, hold)) flowing |= 1 << s;
  }
  if (flowing) state.runFlowedUs = addUntilFull(state.runFlowedUs, state.dtUs);
  if (mayFlow()) state.mode = flowing ? N.MODE_FLOWING : N.MODE_ARMED;
  return flowing;
}
