// Flow share to pulse width: the valve's opening and closing times decide which part of a pulse flows at all.
import * as B from "./generated/blocks";
import * as S from "./generated/settings";
import { PULSES, state } from "./state";

/** Opening time in microseconds of the solenoid whose words lie at `at`, at the present battery voltage. */
function openingUs(at: usize): u32 {
  const mv = state.batteryMv;
  if (mv >= 14_000) return load<u16>(at, 4);
  const at12 = load<u16>(at, 2) as u32;
  if (mv >= 12_000) return at12 - ((at12 - load<u16>(at, 4)) * (mv - 12_000)) / 2000;
  const at10 = load<u16>(at) as u32;
  return mv <= 10_000 ? at10 : at10 - ((at10 - at12) * (mv - 10_000)) / 2000;
}

/** Counter steps that must flow in a period for a share in 1/32 permille. */
function flowingSteps(shareX32: i32): u32 {
  return ((shareX32 as u32) * state.periodSteps + 16_000) / 32_000;
}

/** Pulse in counter steps: 0 when it would not open the valve, the whole period when the valve could not close in between. */
function pulseSteps(at: usize, flowing: u32): u32 {
  const period = state.periodSteps;
  const closing = (load<u16>(at, 6) as u32) / B.PWM_STEP_US;
  if (flowing <= closing) return 0;
  const width = flowing + openingUs(at) / B.PWM_STEP_US - closing;
  return width + closing >= period ? period : width;
}

/**
 * Works out both pulses of stage `s`, whose settings lie at `at`; true when nitrous flows. A wet stage has nitrous only
 * together with fuel.
 */
export function drive(s: u32, at: usize, shareX32: i32): bool {
  let nitrous: u32 = 0;
  let fuel: u32 = 0;
  if (shareX32 > 0) {
    const flowing = flowingSteps(shareX32);
    nitrous = pulseSteps(at + S.STAGE_NITROUS_SOLENOID_AT, flowing);
    if (nitrous && load<u16>(at, S.STAGE_FUEL_SOLENOID_PRESENT)) {
      fuel = pulseSteps(at + S.STAGE_FUEL_SOLENOID_AT, flowing);
      if (fuel === 0) nitrous = 0;
    }
  }
  store<u32>(PULSES + ((s as usize) << 2), nitrous | (fuel << 16));
  return nitrous !== 0;
}
