// The arm switch and the modes: nothing but `armed` leads to `flowing`, and off is the answer to doubt.

import { beginTest, testArming } from "./arming";
import { SWITCH_ARM } from "./generated/blocks";
import * as N from "./generated/numbers";
import { STAGES } from "./generated/settings";
import { batteryHold, bottleHold, fuelHold, supplyHold } from "./hold";
import { isUp } from "./latch";
import { addUntilFull, bootInfo, inputs, isArmed, NOT_LAUNCHED, stageState, state } from "./state";
import { pass } from "./transitions";

/** Why it cannot arm at all: no settings, or a program that is not the one that was built. */
export function cannotArm(): u32 {
  const reasons: u32 = state.settingsValid ? 0 : 1 << N.LOCK_SETTINGS;
  return bootInfo.imageGood ? reasons : reasons | (1 << N.LOCK_IMAGE);
}

function forgetRun(): void {
  state.armedUs = 0;
  state.runFlowedUs = 0;
  state.runNoiseCuts = 0;
  state.launched = 0;
  state.launchMs = NOT_LAUNCHED;
  state.engineLostWatch = 0;
  state.cutBackUs = 0;
  state.leanUs = 0;
  state.liftUs = 0;
  state.contradictUs = 0;
  state.fuelLowTurns = 0;
  state.sensorBad = 0;
  state.adcBad = 0;
  batteryHold().stopsUs = 0;
  fuelHold().stopsUs = 0;
  supplyHold().stopsUs = 0;
  bottleHold().stopsUs = 0;
  for (let s: u32 = 0; s < STAGES; s++) {
    const stage = stageState(s);
    stage.flowedUs = 0;
    stage.openMs = 0;
    stage.openRestUs = 0;
    stage.unconfirmedUs = 0;
  }
}

/** Off, with nothing left of the run or of a self-test that did not end. */
function disarm(transition: u32): void {
  if (!pass(transition)) return;
  beginTest();
  forgetRun();
}

/** Follows the switch: how long it is on or off, and which cuts of the board layer were over before they counted as off. */
function followSwitch(): void {
  if (inputs.switches & SWITCH_ARM) {
    const cut = inputs.armCuts !== state.cutsSeen;
    state.cutsSeen = inputs.armCuts;
    state.armOnUs = cut ? 0 : addUntilFull(state.armOnUs, state.dtUs);
    if (cut && isUp()) {
      state.noiseCuts += 1;
      state.runNoiseCuts += 1;
    }
    state.armOffUs = 0;
    return;
  }
  state.armOnUs = 0;
  state.armOffUs = addUntilFull(state.armOffUs, state.dtUs);
  if (state.armOffUs >= N.ARM_SEEN_OFF_US) {
    state.armReady = 1;
    state.bootHold = 0;
  }
}

function tryToArm(): void {
  if (!state.armReady || state.armOnUs < N.ARM_SEEN_ON_US || cannotArm()) return;
  if (!pass(N.TRANSITION_SWITCHED_ON)) return;
  state.armReady = 0;
  state.trip = N.LOCK_NONE;
  state.tripValue = 0;
  state.liftUs = 0;
  beginTest();
}

/** An off is noise while it is short; more noise than the limit in one run is a bad wire. */
function tryToDisarm(): void {
  const off = state.armOffUs >= N.ARM_NOISE_US || state.runNoiseCuts > N.ARM_NOISE_LIMIT;
  if (state.armReady) disarm(N.TRANSITION_RELEASED);
  if (off) disarm(N.TRANSITION_SWITCHED_OFF);
}

/** Moves between off, arming and armed by the arm switch and the self-test. Flow is decided later in the tick. */
export function followArm(adcGood: bool): void {
  followSwitch();
  if (state.mode === N.MODE_OFF) tryToArm();
  else tryToDisarm();
  if (state.mode === N.MODE_ARMING) testArming(adcGood);
  else if (isArmed()) state.armedUs = addUntilFull(state.armedUs, state.dtUs);
}
