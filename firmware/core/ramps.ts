// The share that the ramps of a stage allow: straight between points, ends held, the lower of two rules.

import { ADC_MANIFOLD } from "./generated/blocks";
import * as S from "./generated/settings";
import { engine, road, Sensor, Shaft, Stage, State, sensor, state } from "./state";

const POINT: usize = 4;
/** Points of a prepared ramp: its own, and one before and one behind all places, so that each place lies between two. */
const POINTS: usize = 14;
/** For two ramps of each stage, place and share of each point, 16 bits each. */
const RAMPS: usize = memory.data(448, 4);
/** No ramp has a point as far as this. */
const FAR: i32 = 0xffff;

/** Where the axis value of a stage lies, as 32 bits; negative there means that the axis has not begun. */
function axisOf(axis: u32, stage: Stage): usize {
  if (axis === S.AXIS_TIME) return changetype<usize>(stage) + offsetof<Stage>("openMs");
  if (axis === S.AXIS_ENGINE_SPEED) return changetype<usize>(engine) + offsetof<Shaft>("speed");
  if (axis === S.AXIS_ROAD_SPEED) return changetype<usize>(road) + offsetof<Shaft>("speed");
  if (axis === S.AXIS_LAUNCH) return changetype<usize>(state) + offsetof<State>("launchMs");
  if (axis !== S.AXIS_MANIFOLD) unreachable();
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

/** Does `x` lie between a point and the next? */
// @inline
function isBehind(point: usize, x: i32): bool {
  return x >= (load<u16>(point) as i32) && x < (load<u16>(point, POINT) as i32);
}

/** Share at a place that has left the point found last; walks from there, and notes the new point at `found`. */
function shareElsewhere(found: usize, place: i32): i32 {
  if (place < 0) return 0;
  const x = min<i32>(place, FAR - 1);
  let point = load<usize>(found);
  while (x < (load<u16>(point) as i32)) point -= POINT;
  while (x >= (load<u16>(point, POINT) as i32)) point += POINT;
  store<usize>(found, point);
  return between(point, x);
}

// @inline
function firstShare(stage: Stage): i32 {
  const x = load<i32>(stage.firstOver);
  const point = stage.firstFound;
  if (isBehind(point, x)) return between(point, x);
  return shareElsewhere(changetype<usize>(stage) + offsetof<Stage>("firstFound"), x);
}

// @inline
function secondShare(stage: Stage): i32 {
  const x = load<i32>(stage.secondOver);
  const point = stage.secondFound;
  if (isBehind(point, x)) return between(point, x);
  return shareElsewhere(changetype<usize>(stage) + offsetof<Stage>("secondFound"), x);
}

/** The lower of the ramps of a stage, in 1/32 permille. */
// @inline
export function allowedShare(stage: Stage): i32 {
  const share = firstShare(stage);
  return stage.secondOver ? min<i32>(share, secondShare(stage)) : share;
}

function putPoint(at: usize, x: u16, y: u16): void {
  store<u16>(at, x);
  store<u16>(at, y, 2);
}

/** Copies a ramp of the settings, its ends held to both sides. Returns where it lies. */
function copyRamp(n: u32, ramp: usize): usize {
  const to = RAMPS + (n as usize) * POINTS * POINT;
  const first = ramp + S.RAMP_POINTS_FIRST;
  const count = load<u16>(ramp, S.RAMP_POINTS_COUNT) as usize;
  for (let i: usize = 0; i < count; i++)
    putPoint(to + (i + 1) * POINT, load<u16>(first + i * POINT), load<u16>(first + i * POINT, 2));
  const behind = to + (count + 1) * POINT;
  putPoint(to, 0, load<u16>(first, 2));
  putPoint(behind, FAR as u16, load<u16>(behind - POINT, 2));
  return to;
}

/** Takes the ramps of a stage from the settings in force. */
export function prepareRamps(stage: Stage): void {
  const first = stage.settings + S.STAGE_RAMPS_FIRST;
  const second = first + S.STAGE_RAMPS_STRIDE;
  stage.firstOver = axisOf(load<u16>(first, S.RAMP_OVER), stage);
  stage.firstFound = copyRamp(2 * stage.number, first);
  const two = load<u16>(stage.settings, S.STAGE_RAMPS_COUNT) > 1;
  stage.secondOver = two ? axisOf(load<u16>(second, S.RAMP_OVER), stage) : 0;
  stage.secondFound = copyRamp(2 * stage.number + 1, second);
}
