// The throttle by every way that is fitted: proven wide open, seen closed, and seen closed since the arm switch went on.
import * as B from "./generated/blocks";
import * as S from "./generated/settings";
import { isUp } from "./latch";
import { addUntilFull, inputs, sensor, setting, state } from "./state";

/** Nothing that is opened wider than this counts as closed. */
const CLOSED_PERMILLE: i32 = 200;
/** A throttle must have been seen closed for this long at a stretch: a switch that is welded never is. */
const LIFT_US: u32 = 50_000;

/** Wide open by every way that is fitted. */
export function throttleProven(): bool {
  if (setting(S.THROTTLE_SWITCH) && !(inputs.switches & B.SWITCH_THROTTLE)) return false;
  if (!setting(S.THROTTLE_POSITION_PRESENT)) return true;
  const least = setting(
    state.throttleIn ? S.THROTTLE_POSITION_CLOSES_AT_PERMILLE : S.THROTTLE_POSITION_OPENS_AT_PERMILLE,
  );
  state.throttleIn = sensor(B.ADC_THROTTLE).value >= (least as i32) ? 1 : 0;
  return state.throttleIn === 1;
}

/** Closed by every way that is fitted. */
export function throttleClosed(): bool {
  if (setting(S.THROTTLE_SWITCH) && inputs.switches & B.SWITCH_THROTTLE) return false;
  return !setting(S.THROTTLE_POSITION_PRESENT) || sensor(B.ADC_THROTTLE).value < CLOSED_PERMILLE;
}

/** Has the throttle been seen closed since the arm switch went on? */
export function lifted(): bool {
  return state.liftUs >= LIFT_US;
}

/** Follows that from the self-test on; what is no sensor's word does not count. */
export function followLift(sensorsGood: bool): void {
  if (lifted() || !isUp()) return;
  state.liftUs = sensorsGood && throttleClosed() ? addUntilFull(state.liftUs, state.dtUs) : 0;
}
