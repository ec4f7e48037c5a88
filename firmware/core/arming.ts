// The self-test at arming: both ways to off are tried, and every driver and its load; any step that fails is a lockout.

import { driversAtRest } from "./drivers";
import * as N from "./generated/numbers";
import { lockOut } from "./latch";
import { addUntilFull, state } from "./state";

/** Below this there is no supply behind the relay. */
const NO_SUPPLY_MV: u32 = 2_000;
/** The relay must follow within this, either way. */
const FOLLOW_US: u32 = 60_000;
/** Drains and converters need this to settle after the relay has moved. */
const SETTLE_US: u32 = 6_000;
/** The test's first look waits for two fresh rounds of the converters. */
const FIRST_US: u32 = 3_000;

const STEP_OPEN: u32 = 0;
const STEP_CLOSES: u32 = 1;
const STEP_SETTLES: u32 = 2;
const STEP_OPENS: u32 = 3;
const STEP_CLOSES_AGAIN: u32 = 4;
const STEP_SETTLES_AGAIN: u32 = 5;

function step(next: u32, keepAlive: u32): void {
  state.armStep = next;
  state.armStepUs = 0;
  state.keepAlive = keepAlive;
}

/** Begins the test with the relay open. */
export function beginTest(): void {
  step(STEP_OPEN, 0);
}

function supplied(): bool {
  return state.supplyMv > state.batteryMv >> 1 && state.supplyMv > NO_SUPPLY_MV;
}

function waitFor(reached: bool, next: u32, keepAlive: u32): void {
  if (reached) step(next, keepAlive);
  else if (state.armStepUs > FOLLOW_US) lockOut(N.LOCK_KEEP_ALIVE, state.armStep);
}

function settled(): bool {
  return state.armStepUs >= SETTLE_US;
}

/** Drains of every configured solenoid must stand at the supply: loads connected, drivers not shorted. */
function looked(next: u32, keepAlive: u32): void {
  if (!settled()) return;
  const fault = driversAtRest();
  if (fault) lockOut(N.LOCK_DRIVER, fault);
  else step(next, keepAlive);
}

/** One tick of the test. */
export function testArming(): void {
  state.armStepUs = addUntilFull(state.armStepUs, state.dtUs);
  const at = state.armStep;
  if (at === STEP_OPEN) {
    if (state.armStepUs < FIRST_US) return;
    if (state.supplyMv >= NO_SUPPLY_MV) lockOut(N.LOCK_RELAY, state.supplyMv);
    else step(STEP_CLOSES, 1);
  } else if (at === STEP_CLOSES) waitFor(supplied(), STEP_SETTLES, 1);
  else if (at === STEP_SETTLES) looked(STEP_OPENS, 0);
  else if (at === STEP_OPENS) waitFor(state.supplyMv < NO_SUPPLY_MV, STEP_CLOSES_AGAIN, 1);
  else if (at === STEP_CLOSES_AGAIN) waitFor(supplied(), STEP_SETTLES_AGAIN, 1);
  else if (settled()) state.mode = N.MODE_ARMED;
}
