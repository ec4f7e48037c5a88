// Works out, once for each settings block, what a tick would otherwise have to divide by.
import { PWM_STEP_US } from "./generated/blocks";
import * as S from "./generated/settings";
import { setting, state } from "./state";

/** Millivolts of a sensor for 4096 codes. */
const SENSOR_FULL_MV: i32 = 5000;

/** Slope of a two-point calibration in value for 65536 codes. */
function slope(lowMv: u32, highMv: u32, span: u32): i32 {
  const codeSpan = (((highMv - lowMv) as i32) << 12) / SENSOR_FULL_MV;
  return ((span << 16) as i32) / codeSpan;
}

/** Prepares the state for the settings in force. They must have passed the judge. */
export function prepare(): void {
  state.engineRpmUs = 120_000_000 / setting(S.ENGINE_PULSES_HALF_PULSES);
  state.roadDeciKmhUs = setting(S.ROAD_PRESENT) ? (3_600_000_000 / setting(S.ROAD_PULSES_PER_KM)) * 10 : 0;
  state.periodSteps = 1_000_000 / PWM_STEP_US / setting(S.FLOW_FREQUENCY_HZ);
  if (setting(S.THROTTLE_POSITION_PRESENT)) {
    state.throttleSlope = slope(
      setting(S.THROTTLE_POSITION_CLOSED_MV),
      setting(S.THROTTLE_POSITION_OPEN_MV),
      1000,
    );
  }
  if (setting(S.MANIFOLD_PRESENT)) {
    const span = setting(S.MANIFOLD_HIGH_PRESSURE_DECI_KPA) - setting(S.MANIFOLD_LOW_PRESSURE_DECI_KPA);
    state.manifoldSlope = slope(setting(S.MANIFOLD_LOW_POINT_MV), setting(S.MANIFOLD_HIGH_POINT_MV), span);
  }
}
