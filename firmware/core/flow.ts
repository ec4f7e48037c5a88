// The stages: each moves on in its turn, every fourth tick; what stops it is judged in every tick and stops it at once.
import { OUTPUTS_PULSE, SWITCH_LAUNCH } from "./generated/blocks";
import * as N from "./generated/numbers";
import * as S from "./generated/settings";
import { askFrom, following, passLead } from "./lead";
import { drive, followPeriods, LATE_US, retardShare, shut } from "./patterns";
import { allowedShare } from "./ramps";
import {
  addUntilFull,
  inputs,
  isArmed,
  outputs,
  Stage,
  setting,
  stageInTurn,
  stageState,
  state,
  wholeMs,
} from "./state";
import { pass } from "./transitions";
import { enginesOutside, stageWindows } from "./windows";

/** A longer time between two turns of a stage is not trusted as time passed. */
const LONGEST_TURN_US: u32 = 20_000;
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
    const us = state.launchRestUs + state.dtUs;
    const ms = wholeMs(us);
    state.launchRestUs = us - ms * 1000;
    state.launchMs = addUntilFull(state.launchMs, ms);
  }
}

/** How far the share may rise in the time since the stage's last turn. */
function riseX32(stage: Stage, dtUs: u32): i32 {
  const rest = stage.riseRest + setting(S.FLOW_RISE_LIMIT_PERCENT_PER_S) * dtUs;
  const units = rest / RISE_UNIT;
  stage.riseRest = rest - units * RISE_UNIT;
  return units as i32;
}

/** Time on the ramps at which a stage goes on that has flowed for `openMs` of them before in this run. */
function afterLiftMs(openMs: u32): u32 {
  const way = setting(S.FLOW_AFTER_LIFT);
  if (way === S.AFTER_LIFT_RESTART) return 0;
  if (way === S.AFTER_LIFT_RESUME) return openMs;
  if (way !== S.AFTER_LIFT_STEP_BACK) unreachable();
  return openMs - min<u32>(openMs, setting(S.FLOW_STEP_BACK_MS));
}

/** Where the ramps over time go on when a stage that has flowed opens again in this run. */
function reopen(stage: Stage): void {
  stage.openMs = afterLiftMs(stage.openMs);
  stage.openRestUs = 0;
}

/** What the stage's own order and delay say; its windows have been judged. */
function ownTurn(stage: Stage, dtUs: u32): bool {
  const at = stage.settings;
  const s = stage.number;
  if (load<u16>(at, S.STAGE_FOLLOWS_PRESENT)) {
    const least = (load<u16>(at, S.STAGE_FOLLOWS_SHARE_PERMILLE) as i32) << 5;
    if (s === 0 || stageState(s - 1).shareX32 < least) return false;
  }
  if (!load<u16>(at, S.STAGE_DELAY_PRESENT)) return true;
  stage.waitedUs = addUntilFull(stage.waitedUs, dtUs);
  return stage.waitedUs > (load<u16>(at, S.STAGE_DELAY_WAIT_MS) as u32) * 1000;
}

/** What the ramps ask for, risen no faster than the limit, cut back while the driveline runs away. */
// @inline
function advance(stage: Stage, dtUs: u32): void {
  if (stage.closed) {
    reopen(stage);
    askFrom(stage);
  }
  stage.closed = 0;
  const us = stage.openRestUs + dtUs;
  const ms = wholeMs(us);
  stage.openRestUs = us - ms * 1000;
  stage.openMs += ms;
  let allowed = allowedShare(stage);
  if (state.cutBackUs) allowed = min<i32>(allowed, (setting(S.DRIVELINE_CUT_TO_PERMILLE) as i32) << 5);
  stage.askedX32 = min<i32>(allowed, stage.askedX32 + riseX32(stage, dtUs));
}

/** Closes a stage at once: share, pulses and its place in the order. */
function close(stage: Stage): void {
  stage.askedX32 = 0;
  stage.askedFlow = 0;
  stage.shareX32 = 0;
  stage.waitedUs = 0;
  stage.closed = 1;
  shut(stage);
  state.flowing &= ~stage.bit;
}

/** Judges a stage's own windows. True when one is left. */
// @inline
function isOutside(stage: Stage): bool {
  const out = state.enginesOut & stage.bit;
  stage.reasons = stageWindows(stage) | (out ? 1 << N.LOCK_RPM_WIN : 0);
  return stage.reasons !== 0;
}

/** The stage whose turn it is moves on: windows, order, ramps, rise, pulses. */
// @inline
function takeTurn(stage: Stage, periodSet: bool): void {
  const dtUs = min<u32>(state.nowUs - stage.turnUs, LONGEST_TURN_US);
  stage.turnUs = state.nowUs;
  if (state.flowing & stage.bit) stage.flowedUs = addUntilFull(stage.flowedUs, dtUs);
  if (isOutside(stage) || state.clearUs < N.FLOW_CLEAR_US) {
    close(stage);
    return;
  }
  if (stage.askedX32 > 0 || ownTurn(stage, dtUs)) advance(stage, dtUs);
  stage.shareX32 = following(stage);
  drive(stage, periodSet);
  stage.askedFlow = (retardShare(stage) as u32) * load<u16>(stage.settings, S.STAGE_PORTION_PERMILLE);
}

/** Stages whose own window on engine speed is left are closed in every tick, turn or not, noise or not. */
function closeOutside(): void {
  const out = enginesOutside();
  state.enginesOut = out;
  if (!out) return;
  for (let s: u32 = 0; s < S.STAGES; s++) if ((out >> s) & 1) close(stageState(s));
}

/** In noise no stage moves on, but in its turn it closes when it has left its windows meanwhile, or gets ready to begin anew. */
function lookOnly(): void {
  if (!state.hushed) for (let s: u32 = 0; s < S.STAGES; s++) shut(stageState(s));
  state.hushed = 1;
  if (state.turn >= setting(S.STAGES_COUNT)) return;
  const stage = stageInTurn();
  shut(stage);
  if (isOutside(stage)) close(stage);
  else drive(stage, false);
}

function stopAll(): void {
  for (let s: u32 = 0; s < S.STAGES; s++) {
    const stage = stageState(s);
    close(stage);
    stage.reasons = 0;
    stage.turnUs = state.nowUs;
  }
  state.clearUs = 0;
}

/** Counts from the first tick in which nothing held flow off; what passed before that tick does not count. */
function followClear(): void {
  state.clearUs = state.clearUs ? addUntilFull(state.clearUs, state.dtUs) : 1;
}

// @inline
function runAll(): void {
  const count = setting(S.STAGES_COUNT);
  let periodSet: bool = false;
  if (state.reasons) {
    if (state.flowing || state.clearUs) stopAll();
  } else {
    followClear();
    if (!state.hushed)
      do periodSet = followPeriods();
      while (periodSet && state.dtUs >= LATE_US);
  }
  state.hushed = 0;
  if (state.turn === 0) passLead();
  if (state.turn < count) takeTurn(stageInTurn(), periodSet);
}

function runs(s: u32): u32 {
  return stageState(s).periods ? 1 << s : 0;
}

function putPulses(): void {
  outputs.runs = runs(0) | runs(1) | runs(2) | runs(3);
  store<u32>(OUTPUTS_PULSE, stageState(0).pulses);
  store<u32>(OUTPUTS_PULSE, stageState(1).pulses, 4);
  store<u32>(OUTPUTS_PULSE, stageState(2).pulses, 8);
  store<u32>(OUTPUTS_PULSE, stageState(3).pulses, 12);
}

function putNoPulses(): u32 {
  outputs.runs = 0;
  store<u64>(OUTPUTS_PULSE, 0);
  store<u64>(OUTPUTS_PULSE + 8, 0);
  return 0;
}

/** Runs all stages and writes their pulses; returns one bit for each that flows. */
export function runStages(): u32 {
  if (!state.settingsValid) return putNoPulses();
  followLaunch();
  if (!isArmed()) {
    stopAll();
    return putNoPulses();
  }
  closeOutside();
  if (onlyNoise()) {
    lookOnly();
    return putNoPulses();
  }
  runAll();
  putPulses();
  const flowing = outputs.runs;
  state.flowing = flowing;
  if (flowing) state.runFlowedUs = addUntilFull(state.runFlowedUs, state.dtUs);
  if ((flowing !== 0) !== (state.mode === N.MODE_FLOWING))
    pass(flowing ? N.TRANSITION_OPENED : N.TRANSITION_SHUT);
  return flowing;
}
