// Hold-offs that must not hunt: once begun they last for a least time, end past a hysteresis, and repeated they are a fault.
import { addUntilFull, Hold, holdState, state } from "./state";

/** A hold-off lasts for this long at least: a pump, an alternator or a contact needs it to answer. */
const LEAST_US: u32 = 250_000;
/** What each hold-off that stopped a flow counts, and how much of it may be there: the third within a few seconds is too many. */
const STOP_US: u32 = 10_000_000;
const MOST_US: u32 = 2 * STOP_US;

// @inline
export function batteryHold(): Hold {
  return holdState(0);
}

// @inline
export function fuelHold(): Hold {
  return holdState(1);
}

// @inline
export function supplyHold(): Hold {
  return holdState(2);
}

// @inline
export function bottleHold(): Hold {
  return holdState(3);
}

function follow(hold: Hold, bad: bool, good: bool): bool {
  if (!hold.holds) {
    if (!bad) return false;
    hold.holds = 1;
    hold.heldUs = 0;
    if (state.flowing) hold.stopsUs += STOP_US;
    return true;
  }
  hold.heldUs = addUntilFull(hold.heldUs, state.roundUs);
  if (good && hold.heldUs >= LEAST_US) hold.holds = 0;
  return hold.holds === 1;
}

/** Looks at a hold-off in its turn: is what it watches bad now, and is it well past that? True while it holds off. */
// @inline
export function followHold(hold: Hold, bad: bool, good: bool): bool {
  hold.stopsUs -= min<u32>(hold.stopsUs, state.roundUs);
  return bad || hold.holds ? follow(hold, bad, good) : false;
}

/** Has it stopped the flow too often? What was counted ends with the armed period. */
export function repeats(hold: Hold): bool {
  return hold.stopsUs > MOST_US;
}
