// The stages: when each may flow, how its share rises, and that everything stops at once.
import { OUTPUTS_PULSE, SWITCH_LAUNCH } from "./generated/blocks";
import * as N from "./generated/numbers";
import * as S from "./generated/settings";
import { clearLead, following, passLead } from "./lead";
import { allowedShare } from "./ramps";
import { drive } from "./solenoids";
import { addUntilFull, inputs, isArmed, Stage, setting, stageSettings, stageState, state } from "./state";
import { stageWindows } from "./windows";

/** Nothing may have held flow off for this long before it begins: a filter that only ever delays opening. */
const CLEAR_US: u32 = 20_000;
/** Rise limit in percent a second x microseconds for one unit of share: 100 % is 32000 units. */
const RISE_UNIT: u32 = 3_125;

/** Noise at the arm switch holds the pins low but does not lose the place in the ramps. */
function onlyNoise(): bool {
  return state.reasons === 1 << N.LOCK_ARM && isArmed();
}

function followLaunch(): void {
  const now: u32 = inputs.switches & SWITCH_LAUNCH ? 1 : 0;
  const wanted: u32 = setting(S.LAUNCH_STARTS_AT) ? 0 : 1;
  const started = setting(S.LAUNCH_PRESENT) && now !== state.launchSwitch && now === wanted && isArmed();
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

/** Where the ramps over time go on when a stage that has flowed opens again in this run. */
function reopen(stage: Stage): void {
  const way = setting(S.FLOW_AFTER_LIFT);
  const step: u32 = way === S.AFTER_LIFT_STEP_BACK ? setting(S.FLOW_STEP_BACK_MS) : 0;
  const keep: u32 = way === S.AFTER_LIFT_RESTART ? 0 : stage.openMs;
  stage.openMs = keep > step ? keep - step : 0;
  stage.openRestUs = 0;
}

/** What the stage's own order and delay say; its windows have been judged. */
function ownTurn(s: u32, stage: Stage, at: usize): bool {
  if (setting(at + S.STAGE_FOLLOWS_PRESENT)) {
    const least = (setting(at + S.STAGE_FOLLOWS_SHARE_PERMILLE) as i32) << 5;
    if (s === 0 || stageState(s - 1).shareX32 < least) return false;
  }
  if (!setting(at + S.STAGE_DELAY_PRESENT)) return true;
  stage.waitedUs = addUntilFull(stage.waitedUs, state.dtUs);
  return stage.waitedUs > setting(at + S.STAGE_DELAY_WAIT_MS) * 1000;
}

function close(stage: Stage): void {
  stage.askedX32 = 0;
  stage.closed = 1;
}

/** What the ramps ask for, risen no faster than the limit, cut back while the driveline runs away. */
function advance(s: u32, stage: Stage): void {
  if (stage.closed) reopen(stage);
  stage.closed = 0;
  stage.openRestUs += state.dtUs;
  const wholeMs = stage.openRestUs / 1000;
  stage.openMs += wholeMs;
  stage.openRestUs -= wholeMs * 1000;
  let allowed = allowedShare(s, stage);
  if (state.cutBackUs) allowed = min<i32>(allowed, (setting(S.DRIVELINE_CUT_TO_PERMILLE) as i32) << 5);
  stage.askedX32 = min<i32>(allowed, stage.askedX32 + state.riseX32);
}

/** Moves one stage on; true when its nitrous solenoid is driven. */
function runStage(s: u32, clear: bool): bool {
  const stage = stageState(s);
  const at = stageSettings(s);
  stage.reasons = stageWindows(s);
  if (!clear || stage.reasons) {
    stage.waitedUs = 0;
    close(stage);
  } else if (stage.askedX32 > 0 || ownTurn(s, stage, at)) advance(s, stage);
  stage.shareX32 = following(s, stage.askedX32);
  drive(s, stage.shareX32);
  const flows = load<u16>(OUTPUTS_PULSE + ((4 * s) as usize)) > 0;
  if (flows) stage.flowedUs = addUntilFull(stage.flowedUs, state.dtUs);
  return flows;
}

function stopAll(): void {
  for (let s: u32 = 0; s < S.STAGES; s++) {
    const stage = stageState(s);
    close(stage);
    stage.shareX32 = 0;
    stage.waitedUs = 0;
    stage.unconfirmedUs = 0;
    stage.reasons = 0;
  }
  clearLead();
  state.clearUs = 0;
}

function runAll(): u32 {
  state.clearUs = state.reasons === 0 ? addUntilFull(state.clearUs, state.dtUs) : 0;
  const clear = state.clearUs >= CLEAR_US;
  let flowing: u32 = 0;
  const count = setting(S.STAGES_COUNT);
  for (let s: u32 = 0; s < count; s++) {
    if (runStage(s, clear)) flowing |= 1 << s;
  }
  return flowing;
}

/** Runs all stages; returns one bit for each that flows. Outputs.pulse must have been cleared before. */
export function runStages(): u32 {
  if (!state.settingsValid) return 0;
  followLaunch();
  followRise();
  if (!isArmed()) {
    stopAll();
    return 0;
  }
  if (onlyNoise()) return 0;
  passLead();
  const flowing = runAll();
  if (flowing) state.runFlowedUs = addUntilFull(state.runFlowedUs, state.dtUs);
  state.mode = flowing ? N.MODE_FLOWING : N.MODE_ARMED;
  return flowing;
}
