// The arm switch and the modes: nothing but `armed` leads to `flowing`, and off is the answer to doubt.
import { SWITCH_ARM } from "./generated/blocks";
import * as N from "./generated/numbers";
import { addUntilFull, bootInfo, inputs, state } from "./state";

/** The arm switch must be seen off this long before it can arm, and this long on before it does. */
const SEEN_OFF_US: u32 = 200_000;
const SEEN_ON_US: u32 = 5_000;
/** An off that is over sooner than this was noise. */
const NOISE_US: u32 = 5_000;
/** More noise than this in one run is a bad wire: disarm. */
const NOISE_LIMIT: u32 = 3;

/** Why it cannot arm at all: no settings, or a program that is not the one that was built. */
export function cannotArm(): u32 {
  let reasons: u32 = state.settingsValid ? 0 : 1 << N.LOCK_SETTINGS;
  if (!bootInfo.imageGood) reasons |= 1 << N.LOCK_IMAGE;
  return reasons;
}

function disarm(): void {
  state.mode = N.MODE_OFF;
  state.armedUs = 0;
  state.runFlowedUs = 0;
  state.runNoiseCuts = 0;
  state.launched = 0;
  state.engineLostWatch = 0;
}

/** Follows the switch: how long it is on or off, and which cuts of the board layer were over before they counted as off. */
function followSwitch(): void {
  if (inputs.switches & SWITCH_ARM) {
    const cut = inputs.armCuts !== state.cutsSeen;
    state.cutsSeen = inputs.armCuts;
    state.armOnUs = cut ? 0 : addUntilFull(state.armOnUs, state.dtUs);
    if (cut && state.mode !== N.MODE_OFF) {
      state.noiseCuts += 1;
      state.runNoiseCuts += 1;
    }
    state.armOffUs = 0;
    return;
  }
  state.armOnUs = 0;
  state.armOffUs = addUntilFull(state.armOffUs, state.dtUs);
  if (state.armOffUs >= SEEN_OFF_US) {
    state.armReady = 1;
    state.bootHold = 0;
  }
}

/** First trip wins; a trip never gives way to flow. */
export function trip(lock: u32, value: u32): void {
  if (state.mode === N.MODE_OFF || state.mode === N.MODE_TRIPPED) return;
  state.mode = N.MODE_TRIPPED;
  state.trip = lock;
  state.tripValue = value;
}

/** Moves between off and armed by the arm switch. Flow is decided later in the tick. */
export function followArm(): void {
  followSwitch();
  if (state.mode === N.MODE_OFF) {
    if (state.armReady && state.armOnUs >= SEEN_ON_US && cannotArm() === 0) {
      state.mode = N.MODE_ARMED;
      state.armReady = 0;
      state.trip = N.LOCK_NONE;
      state.tripValue = 0;
    }
    return;
  }
  state.armedUs = addUntilFull(state.armedUs, state.dtUs);
  const off = state.armOffUs >= NOISE_US || state.runNoiseCuts > NOISE_LIMIT;
  if (off && (state.mode !== N.MODE_TRIPPED || state.armReady)) disarm();
}
