// The share that the ramps of a stage allow: straight between points, ends held, the lower of two rules.

import { ADC_MANIFOLD } from "./generated/blocks";
import * as S from "./generated/settings";
import { engine, road, Sensor, Shaft, Stage, State, sensor, state } from "./state";

const POINT: usize = 4;

/** Where the place of a stage on an axis lies, as 32 bits; negative there means that the axis has not begun. */
function axisOf(axis: u32, stage: Stage): usize {
  if (axis === S.AXIS_TIME) return changetype<usize>(stage) + offsetof<Stage>("openMs");
  if (axis === S.AXIS_ENGINE_SPEED) return changetype<usize>(engine) + offsetof<Shaft>("speed");
  if (axis === S.AXIS_ROAD_SPEED) return changetype<usize>(road) + offsetof<Shaft>("speed");
  if (axis === S.AXIS_LAUNCH) return changetype<usize>(state) + offsetof<State>("launchMs");
  return changetype<usize>(sensor(ADC_MANIFOLD)) + offsetof<Sensor>("value");
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

/** Is the point the last one that `x` has reached? */
// @inline
function isBehind(point: usize, x: i32): bool {
  return x >= (load<u16>(point) as i32) && x < (load<u16>(point, POINT) as i32);
}

/** The point of a ramp behind which `x` lies: `near`, or by halving; `x` is past the first point and before the last. */
function search(first: usize, last: usize, near: usize, x: i32): usize {
  if (near < last && isBehind(near, x)) return near;
  let low = first;
  let high = last;
  while (high - low > POINT) {
    const middle = low + (((high - low) >> 3) << 2);
    if (x < (load<u16>(middle) as i32)) high = middle;
    else low = middle;
  }
  return low;
}

/** Share where `x` lies outside the segment found last; notes the new one at `found`. */
function shareElsewhere(found: usize, ramp: usize, x: i32): i32 {
  if (x < 0) return 0;
  const first = ramp + S.RAMP_POINTS_FIRST;
  if (x <= (load<u16>(first) as i32)) return (load<u16>(first, 2) as i32) << 5;
  const last = first + ((load<u16>(ramp, S.RAMP_POINTS_COUNT) as usize) - 1) * POINT;
  if (x >= (load<u16>(last) as i32)) return (load<u16>(last, 2) as i32) << 5;
  const point = search(first, last, load<usize>(found) + POINT, x);
  store<usize>(found, point);
  return between(point, x);
}

// @inline
function firstShare(stage: Stage): i32 {
  const x = load<i32>(stage.firstOver);
  const point = stage.firstFound;
  if (isBehind(point, x)) return between(point, x);
  const found = changetype<usize>(stage) + offsetof<Stage>("firstFound");
  return shareElsewhere(found, stage.settings + S.STAGE_RAMPS_FIRST, x);
}

// @inline
function secondShare(stage: Stage): i32 {
  const x = load<i32>(stage.secondOver);
  const point = stage.secondFound;
  if (isBehind(point, x)) return between(point, x);
  const found = changetype<usize>(stage) + offsetof<Stage>("secondFound");
  return shareElsewhere(found, stage.settings + S.STAGE_RAMPS_FIRST + S.STAGE_RAMPS_STRIDE, x);
}

/** The lower of the ramps of a stage, in 1/32 permille. */
// @inline
export function allowedShare(stage: Stage): i32 {
  const share = firstShare(stage);
  return stage.secondOver ? min<i32>(share, secondShare(stage)) : share;
}

/** Notes over what the ramps of a stage go, and forgets where places were found. */
export function prepareRamps(stage: Stage): void {
  const first = stage.settings + S.STAGE_RAMPS_FIRST;
  const second = first + S.STAGE_RAMPS_STRIDE;
  stage.firstOver = axisOf(load<u16>(first, S.RAMP_OVER), stage);
  stage.firstFound = first + S.RAMP_POINTS_FIRST;
  const two = load<u16>(stage.settings, S.STAGE_RAMPS_COUNT) > 1;
  stage.secondOver = two ? axisOf(load<u16>(second, S.RAMP_OVER), stage) : 0;
  stage.secondFound = second + S.RAMP_POINTS_FIRST;
}
