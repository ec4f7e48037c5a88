// The self-test at arming: both ways to off are tried, and every driver and its load; any step that fails is a lockout.
// The edges of the keep-alive stop once with its pin low and once with it high: a pump that holds at either level is found.

import { conducted, driversAtRest, stuck } from "./drivers";
import * as B from "./generated/blocks";
import * as N from "./generated/numbers";
import { STAGES } from "./generated/settings";
import { lockOut } from "./latch";
import { addUntilFull, inputs, outputs, state } from "./state";
import { pass } from "./transitions";

/** The keep-alive pin: low, with edges, or high without them. */
export const KEEP_ALIVE_LOW: u32 = 0;
export const KEEP_ALIVE_EDGES: u32 = 1;
export const KEEP_ALIVE_HIGH: u32 = 2;

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
const STEP_OPENS_LOW: u32 = 3;
const STEP_CLOSES_AGAIN: u32 = 4;
const STEP_OPENS_HIGH: u32 = 5;
const STEP_CLOSES_LAST: u32 = 6;
const STEP_SETTLES_AGAIN: u32 = 7;
const STEP_TRIES: u32 = 8;

/** From one try of a driver to the next: the current of its coil must have gone. */
const TRY_EVERY_US: u32 = 4_000;
/** A driver that has not conducted in so many tries does not. */
const TRIES: u32 = 3;

function step(next: u32, keepAlive: u32): void {
  state.armStep = next;
  state.armStepUs = 0;
  state.keepAlive = keepAlive;
}

/** Where the test begins: the relay open, and nothing known of it. */
export function beginTest(): void {
  state.tryChannel = 0;
  state.triesFailed = 0;
  state.trying = 0;
  step(STEP_OPEN, KEEP_ALIVE_LOW);
}

function supplied(): bool {
  return state.supplyMv > state.batteryMv >> 1 && state.supplyMv > NO_SUPPLY_MV;
}

function unsupplied(): bool {
  return state.supplyMv < NO_SUPPLY_MV;
}

function waitFor(reached: bool, next: u32, keepAlive: u32): void {
  if (reached) step(next, keepAlive);
  else if (state.armStepUs > FOLLOW_US) lockOut(N.LOCK_KEEP_ALIVE, state.armStep);
}

function settled(): bool {
  return state.armStepUs >= SETTLE_US;
}

/** The relay has let go. A contact that has just closed bounces: what it loses before that is over says nothing of the pump. */
function opened(): bool {
  return settled() && unsupplied();
}

/** Drains of every configured solenoid must stand at the supply: loads connected, drivers not shorted. */
function looked(next: u32, keepAlive: u32): void {
  if (!settled()) return;
  const fault = driversAtRest();
  if (fault) lockOut(N.LOCK_DRIVER, fault);
  else step(next, keepAlive);
}

/** What the converters saw of the try a tick ago. A pin that the arm switch's cut held low says nothing: once more. */
function judgeTry(): void {
  const channel = state.tryChannel;
  state.trying = 0;
  if (!(((inputs.solenoidPins as u32) >> channel) & 1)) return;
  if (conducted(channel)) {
    state.tryChannel = channel + 1;
    state.triesFailed = 0;
  } else {
    state.triesFailed += 1;
    if (state.triesFailed >= TRIES) lockOut(N.LOCK_DRIVER, stuck(channel));
  }
}

/**
 * Each configured driver conducts once, one at a time, too short for its valve: the one exception to "armed before a pin is high".
 * Without live converters nothing would see a try, and none is made.
 */
function tryDrivers(adcGood: bool): void {
  if (state.trying) {
    judgeTry();
    return;
  }
  if (state.armStepUs < TRY_EVERY_US) return;
  let channel = state.tryChannel;
  while (channel < 2 * STAGES && !((state.solenoids >> channel) & 1)) channel++;
  state.tryChannel = channel;
  if (channel === 2 * STAGES || !state.opensSlowly) {
    pass(N.TRANSITION_TESTED);
    return;
  }
  if (!adcGood) return;
  state.trying = 1 << channel;
  state.armStepUs = 0;
}

/** The pulse of the driver that is tried in this tick; the counter of its stage ends it, whatever becomes of the program. */
export function putTry(): void {
  if (!state.trying || state.mode !== N.MODE_ARMING) return;
  const channel = state.tryChannel;
  store<u16>(B.OUTPUTS_PULSE + ((channel as usize) << 1), (B.TRY_US / B.PWM_STEP_US) as u16);
  outputs.runs = 1 << (channel >> 1);
}

/** One tick of the test. */
export function testArming(adcGood: bool): void {
  state.armStepUs = addUntilFull(state.armStepUs, state.dtUs);
  const at = state.armStep;
  if (at === STEP_OPEN) {
    if (state.armStepUs < FIRST_US) return;
    if (!unsupplied()) lockOut(N.LOCK_RELAY, state.supplyMv);
    else step(STEP_CLOSES, KEEP_ALIVE_EDGES);
  } else if (at === STEP_CLOSES) waitFor(supplied(), STEP_SETTLES, KEEP_ALIVE_EDGES);
  else if (at === STEP_SETTLES) looked(STEP_OPENS_LOW, KEEP_ALIVE_LOW);
  else if (at === STEP_OPENS_LOW) waitFor(opened(), STEP_CLOSES_AGAIN, KEEP_ALIVE_EDGES);
  else if (at === STEP_CLOSES_AGAIN) waitFor(supplied(), STEP_OPENS_HIGH, KEEP_ALIVE_HIGH);
  else if (at === STEP_OPENS_HIGH) waitFor(opened(), STEP_CLOSES_LAST, KEEP_ALIVE_EDGES);
  else if (at === STEP_CLOSES_LAST) waitFor(supplied(), STEP_SETTLES_AGAIN, KEEP_ALIVE_EDGES);
  else if (at === STEP_TRIES) tryDrivers(adcGood);
  else if (at !== STEP_SETTLES_AGAIN) unreachable();
  else if (settled()) step(STEP_TRIES, KEEP_ALIVE_EDGES);
}
