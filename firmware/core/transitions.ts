// The mode changes here and nowhere else: by the table of transitions, whatever the cause.
import { TRANSITIONS } from "./generated/numbers";
import { state } from "./state";

/** Goes from the present mode where a transition leads. False, with nothing changed, when it does not lead from this mode. */
export function pass(transition: u32): bool {
  const row = TRANSITIONS + ((transition as usize) << 2);
  if (!((load<u16>(row) >> state.mode) & 1)) return false;
  state.mode = load<u16>(row, 2);
  return true;
}
