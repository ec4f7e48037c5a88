// The share that the ramps of a stage allow: straight between points, ends held, the lower of two rules.

import { ADC_MANIFOLD } from "./generated/blocks";
import * as S from "./generated/settings";
import { engine, road, Stage, sensor, setting, stageSettings, state } from "./state";

/** Where the stage stands on an axis; -1 when the axis has not begun. */
function place(axis: u32, stage: Stage): i32 {
  if (axis === S.AXIS_TIME) return stage.openMs as i32;
  if (axis === S.AXIS_LAUNCH) return state.launched ? (state.launchMs as i32) : -1;
  if (axis === S.AXIS_ENGINE_SPEED) return engine.speed as i32;
  if (axis === S.AXIS_ROAD_SPEED) return road.speed as i32;
  return sensor(ADC_MANIFOLD).value;
}

/** Share between two points, in 1/32 permille; dy x dx x 32 stays under 2^31 for 1000 permille and 60000 places. */
function between(point: usize, x: i32): i32 {
  const x0 = setting(point) as i32;
  const y0 = setting(point + 2) as i32;
  const dx = (setting(point + 4) as i32) - x0;
  const dy = (setting(point + 6) as i32) - y0;
  return (y0 << 5) + ((dy * (x - x0)) << 5) / dx;
}

/** Share of the ramp whose words begin at `ramp`, in 1/32 permille. */
function rampShare(ramp: usize, stage: Stage): i32 {
  const x = place(setting(ramp + S.RAMP_OVER), stage);
  if (x < 0) return 0;
  const count = setting(ramp + S.RAMP_POINTS_COUNT);
  let point = ramp + S.RAMP_POINTS_FIRST;
  if (x <= (setting(point) as i32)) return (setting(point + 2) as i32) << 5;
  for (let i: u32 = 1; i < count; i++) {
    if (x < (setting(point + 4) as i32)) return between(point, x);
    point += 4;
  }
  return (setting(point + 2) as i32) << 5;
}

/** The lower of the stage's ramps, in 1/32 permille. */
export function allowedShare(s: u32, stage: Stage): i32 {
  const at = stageSettings(s);
  let share: i32 = 32000;
  const count = setting(at + S.STAGE_RAMPS_COUNT);
  for (let r: u32 = 0; r < count; r++) {
    share = min<i32>(share, rampShare(at + S.STAGE_RAMPS_FIRST + (r as usize) * S.STAGE_RAMPS_STRIDE, stage));
  }
  return share;
}
