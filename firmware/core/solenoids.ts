// Flow share to pulse width: the valve's opening and closing times decide which part of a pulse flows at all.
import * as B from "./generated/blocks";
import * as S from "./generated/settings";
import { Stage, state } from "./state";

const LEAST_MV: u32 = 10_000;
const MOST_MV: u32 = 14_000;
const BETWEEN_MV: u32 = 12_000;

/** Opening time in microseconds of the solenoid whose words lie at `at`, at a battery voltage from LEAST_MV to MOST_MV. */
// @inline
function openingUs(at: usize, mv: u32): u32 {
  let slower = load<u16>(at, 2) as u32;
  let faster = load<u16>(at, 4) as u32;
  let over = mv - BETWEEN_MV;
  if (mv < BETWEEN_MV) {
    faster = slower;
    slower = load<u16>(at) as u32;
    over = mv - LEAST_MV;
  }
  return slower - ((slower - faster) * over) / 2000;
}

/** Counter steps that must flow in a period for a share in 1/32 permille. */
function flowingSteps(shareX32: i32): u32 {
  return ((shareX32 as u32) * state.periodSteps + 16_000) / 32_000;
}

/** Pulse in counter steps: 0 when it would not open the valve, the whole period when the valve could not close in between. */
// @inline
function pulseSteps(at: usize, flowing: u32, mv: u32): u32 {
  const period = state.periodSteps;
  const closing = (load<u16>(at, 6) as u32) / B.PWM_STEP_US;
  if (flowing <= closing) return 0;
  const width = flowing + openingUs(at, mv) / B.PWM_STEP_US - closing;
  return width + closing >= period ? period : width;
}

/** Works out both pulses of a stage; true when nitrous flows. A wet stage has nitrous only together with fuel. */
// @inline
export function drive(stage: Stage): bool {
  const at = stage.settings;
  const shareX32 = stage.shareX32;
  let nitrous: u32 = 0;
  let fuel: u32 = 0;
  if (shareX32 > 0) {
    const flowing = flowingSteps(shareX32);
    const mv = min<u32>(max<u32>(state.batteryMv, LEAST_MV), MOST_MV);
    nitrous = pulseSteps(at + S.STAGE_NITROUS_SOLENOID_AT, flowing, mv);
    if (nitrous && load<u16>(at, S.STAGE_FUEL_SOLENOID_PRESENT)) {
      fuel = pulseSteps(at + S.STAGE_FUEL_SOLENOID_AT, flowing, mv);
      if (fuel === 0) nitrous = 0;
    }
  }
  stage.pulses = nitrous | (fuel << 16);
  return nitrous !== 0;
}
