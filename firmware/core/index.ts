// The control core: outputs = tick(state, settings, inputs, now). It knows no register, no heap and no clock of its own.

import { putTry } from "./arming";
import { runStages } from "./flow";
import { followGaps } from "./gaps";
import * as N from "./generated/numbers";
import { judgeReasons } from "./interlocks";
import { faultRule, faultWord, judge } from "./judge";
import { takeKeptLockout } from "./latch";
import { serveLink, startLink } from "./link";
import { recordRun } from "./log";
import { convertersLive, measure } from "./measure";
import { followArm } from "./modes";
import { putLive, putOutputs } from "./report";
import { findRuns } from "./runs";
import { clearState, STAGING, stageState, state } from "./state";
import { findSettings } from "./store";
import { judgeTrips } from "./trips";

/** A longer gap between ticks than this is not trusted as time passed. */
const LONGEST_TICK_US: u32 = 20_000;

/** Starts the core after a reset. The Boot block must be filled; reads the settings from flash. */
export function boot(): void {
  clearState();
  state.trip = N.LOCK_NONE;
  state.bootHold = 1;
  takeKeptLockout();
  startLink();
  findSettings();
  findRuns();
}

function passTime(nowUs: u32): void {
  state.dtUs = min<u32>(nowUs - state.nowUs, LONGEST_TICK_US);
  state.nowUs = nowUs;
  state.turn = (state.turn + 1) & 3;
  state.stageInTurn = changetype<usize>(stageState(state.turn));
  state.roundSumUs += state.dtUs;
  if (state.turn) return;
  state.roundUs = state.roundSumUs;
  state.roundSumUs = 0;
}

/** One tick: reads Inputs, writes Outputs and Live. `nowUs` wraps every 71.6 minutes. */
export function tick(nowUs: u32): void {
  passTime(nowUs);
  const sensorsGood = measure();
  const adcGood = convertersLive();
  followArm(adcGood);
  judgeTrips(sensorsGood, adcGood);
  judgeReasons(sensorsGood, adcGood);
  const flowing = runStages();
  followGaps();
  putTry();
  putOutputs(flowing, sensorsGood && adcGood);
  putLive(flowing);
  recordRun();
}

/** Takes received bytes from LINK_RX, returns how many to send from LINK_TX; does slow work while off. */
export function serve(rxCount: u32): u32 {
  return serveLink(rxCount);
}

/** For the host: judges the block at `stagingAddress()`. 0 when it is right, else 1 + word * 256 + rule. */
export function judgeStaging(): u32 {
  return judge(STAGING) ? 0 : 1 + (faultWord() << 8) + faultRule();
}

/** Where the host puts a block to be judged. */
export function stagingAddress(): usize {
  return STAGING;
}

export { keepTick } from "./exact";
export { keepRecords } from "./records";
