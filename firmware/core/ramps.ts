// The share that the ramps of a stage allow: straight between points, ends held, the lower of two rules.

import { ADC_MANIFOLD } from "./generated/blocks";
import * as S from "./generated/settings";
import { engine, road, Stage, sensor, stageSettings, state } from "./state";

const POINT: usize = 4;
/** For each ramp of each stage, where the point lies behind which its place was found last; 32 bits each. */
const FOUND: usize = memory.data(32, 4);

/** Where the stage stands on an axis; -1 when the axis has not begun. */
function place(axis: u32, stage: Stage): i32 {
  if (axis === S.AXIS_TIME) return stage.openMs as i32;
  if (axis === S.AXIS_ENGINE_SPEED) return engine.speed as i32;
  if (axis === S.AXIS_ROAD_SPEED) return road.speed as i32;
  if (axis === S.AXIS_LAUNCH) return state.launched ? (state.launchMs as i32) : -1;
  return sensor(ADC_MANIFOLD).value;
}

/** Share between two points, in 1/32 permille; dy x dx x 32 stays under 2^31 for 1000 permille and 60000 places. */
// @inline
function between(point: usize, x: i32): i32 {
  const x0 = load<u16>(point) as i32;
  const y0 = load<u16>(point, 2) as i32;
  const dx = (load<u16>(point, 4) as i32) - x0;
  const dy = (load<u16>(point, 6) as i32) - y0;
  return (y0 << 5) + ((dy * (x - x0)) << 5) / dx;
}

/** The point of a ramp behind which `x` lies, by halving; `x` is past the first point and before the last. */
function search(first: usize, last: usize, x: i32): usize {
  let low = first;
  let high = last;
  while (high - low > POINT) {
    const middle = low + (((high - low) >> 3) << 2);
    if (x < (load<u16>(middle) as i32)) high = middle;
    else low = middle;
  }
  return low;
}

/** Share of the ramp whose words begin at `ramp`, in 1/32 permille. The search is only for places outside the last one. */
function rampShare(ramp: usize, found: usize, stage: Stage): i32 {
  const x = place(load<u16>(ramp, S.RAMP_OVER), stage);
  if (x < 0) return 0;
  const before = load<usize>(found);
  if (x >= (load<u16>(before) as i32) && x < (load<u16>(before, POINT) as i32)) return between(before, x);
  const first = ramp + S.RAMP_POINTS_FIRST;
  if (x <= (load<u16>(first) as i32)) return (load<u16>(first, 2) as i32) << 5;
  const last = first + ((load<u16>(ramp, S.RAMP_POINTS_COUNT) as usize) - 1) * POINT;
  if (x >= (load<u16>(last) as i32)) return (load<u16>(last, 2) as i32) << 5;
  const point = search(first, last, x);
  store<usize>(found, point);
  return between(point, x);
}

/** The lower of the ramps of stage `s`, whose settings are at `at`, in 1/32 permille. */
export function allowedShare(s: u32, stage: Stage, at: usize): i32 {
  const found = FOUND + ((s as usize) << 3);
  const share = rampShare(at + S.STAGE_RAMPS_FIRST, found, stage);
  if (load<u16>(at, S.STAGE_RAMPS_COUNT) < 2) return share;
  return min<i32>(share, rampShare(at + S.STAGE_RAMPS_FIRST + S.STAGE_RAMPS_STRIDE, found + 4, stage));
}

/** Forgets where places were found. */
export function prepareRamps(): void {
  for (let n: u32 = 0; n < 2 * S.STAGES; n++) {
    const at = stageSettings(n >> 1) + S.STAGE_RAMPS_FIRST + ((n & 1) as usize) * S.STAGE_RAMPS_STRIDE;
    store<usize>(FOUND + ((n as usize) << 2), at + S.RAMP_POINTS_FIRST);
  }
}
