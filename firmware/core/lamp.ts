// The status lamp: how often it blinks says the mode; steady means armed, so that an armed controller is never overlooked.
import * as N from "./generated/numbers";
import { state } from "./state";
import { lifted } from "./throttle";

/** The pattern repeats after this. */
const CYCLE_MS: u32 = 2_000;
const BLINK_MS: u32 = 100;
const FLICKER_MS: u32 = 50;

/** So many short blinks at the start of each cycle. */
function blinks(count: u32, atMs: u32): bool {
  const place = atMs / BLINK_MS;
  return place < 2 * count && (place & 1) === 0;
}

/** Is the lamp on for the next round of turns? off: one blink; no settings: two; tripped: three; service: four; locked: five; arming, armed: steady, with two short gaps until the throttle has been lifted once; flowing: flicker. */
export function lampOn(): bool {
  state.lampUs += state.roundUs;
  if (state.lampUs >= CYCLE_MS * 1000) state.lampUs -= CYCLE_MS * 1000;
  const atMs = state.lampUs / 1000;
  if (state.mode === N.MODE_FLOWING) return ((atMs / FLICKER_MS) & 1) === 0;
  if (state.mode === N.MODE_ARMING) return true;
  if (state.mode === N.MODE_ARMED) return lifted() || !blinks(2, atMs);
  if (state.mode === N.MODE_TRIPPED) return blinks(3, atMs);
  if (state.mode === N.MODE_SERVICE) return blinks(4, atMs);
  if (state.mode === N.MODE_LOCKED) return blinks(5, atMs);
  if (state.mode !== N.MODE_OFF) unreachable();
  return blinks(state.settingsValid ? 1 : 2, atMs);
}
