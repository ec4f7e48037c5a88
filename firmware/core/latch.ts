// What latches: a trip lasts until the arm switch has been cycled, a lockout until the power is removed.
import * as N from "./generated/numbers";
import { bootInfo, isArmed, state } from "./state";
import { pass } from "./transitions";

/** Is it under way to flow, or flowing? */
export function isUp(): bool {
  return isArmed() || state.mode === N.MODE_ARMING;
}

/** All off until the arm switch has been cycled. The first trip wins; a lockout is never left for a trip. */
export function trip(lock: u32, value: u32): void {
  if (!pass(N.TRANSITION_TRIPPED)) return;
  state.keepAlive = 0;
  state.trip = lock;
  state.tripValue = value;
}

/** All off until the power is removed. A trip is left for it: what else is wrong at the same time makes it no smaller. */
export function lockOut(lock: u32, value: u32): void {
  if (!pass(N.TRANSITION_LOCKED_OUT)) return;
  state.keepAlive = 0;
  state.trip = lock;
  state.tripValue = value;
}

/** What the board layer keeps over a reset: the row's number, its complement above it, the value above both; 0 for nothing. */
export function lockoutToKeep(): u32 {
  if (state.mode !== N.MODE_LOCKED) return 0;
  return state.trip | ((state.trip ^ 0xff) << 8) | (state.tripValue << 16);
}

/** A lockout from before the reset goes on; without power the board layer keeps none. */
export function takeKeptLockout(): void {
  const kept = bootInfo.lockout;
  if (((kept ^ (kept >> 8)) & 0xff) !== 0xff) return;
  pass(N.TRANSITION_STILL_LOCKED);
  state.trip = kept & 0xff;
  state.tripValue = kept >> 16;
}
