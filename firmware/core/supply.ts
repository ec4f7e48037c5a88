// The supply behind the master relay: it must follow the battery, and neither may be more than the valves and drivers are for.
import * as N from "./generated/numbers";
import { followHold, repeats, supplyHold } from "./hold";
import { trip } from "./latch";
import { addUntilFull, inputs, isArmed, state } from "./state";

/** Relay, fuse and wiring lose less than this between battery and drivers. */
const MOST_APART_MV: u32 = 2_000;
/** A difference holds off when it has lasted for so long, and trips after so long; once a round of turns it is looked at. */
const HOLDS_US: u32 = 50_000;
const TRIPS_US: u32 = 500_000;
const ROUND_US: u32 = 4_000;
/** Above this nothing is let flow; once it was, not before it is well under it. */
const HIGHEST_MV: u32 = 16_500;
const BACK_MV: u32 = 500;

function tooHigh(limitMv: u32): bool {
  return max<u32>(state.batteryMv, state.supplyMv) > limitMv;
}

function isApart(): bool {
  const battery = state.batteryMv;
  const supply = state.supplyMv;
  return (battery > supply ? battery - supply : supply - battery) > MOST_APART_MV;
}

/** A contact that loses voltage under the coils' current shows it only then: what it is without, between two pulses, says nothing. */
function isTold(): bool {
  return !state.flowing || inputs.solenoidPins !== 0;
}

/** How long the difference has lasted; it leaks, so that one that comes and goes adds up. */
function followApart(): void {
  if (!isArmed()) state.supplyApartUs = 0;
  else if (isApart()) state.supplyApartUs = addUntilFull(state.supplyApartUs, state.roundUs);
  else if (isTold()) state.supplyApartUs -= min<u32>(state.supplyApartUs, state.roundUs >> 1);
}

/** Looks at both, in turns. True when they hold flow off. The relay is closed only while armed. */
export function judgeSupply(): bool {
  followApart();
  const apartUs = state.supplyApartUs + ROUND_US;
  const low = apartUs > HOLDS_US;
  const held = followHold(supplyHold(), low || tooHigh(HIGHEST_MV), !low && !tooHigh(HIGHEST_MV - BACK_MV));
  if (apartUs > TRIPS_US || repeats(supplyHold())) trip(N.LOCK_SUPPLY, state.supplyMv);
  return held;
}
