// Flow share to pulse width: the valve's opening and closing times decide which part of a pulse flows at all.
import * as B from "./generated/blocks";
import * as S from "./generated/settings";
import { PULSES, setting, stageSettings, state } from "./state";

/** Opening time in microseconds of the solenoid whose words begin at `at`, at the present battery voltage. */
function openingUs(at: usize): u32 {
  const mv = state.batteryMv;
  const at10 = setting(at);
  const at12 = setting(at + 2);
  const at14 = setting(at + 4);
  if (mv <= 10_000) return at10;
  if (mv >= 14_000) return at14;
  if (mv < 12_000) return at10 - ((at10 - at12) * (mv - 10_000)) / 2000;
  return at12 - ((at12 - at14) * (mv - 12_000)) / 2000;
}

/**
 * Pulse width in counter steps for a share in 1/32 permille. 0 when the pulse would not open the valve; the whole period
 * when the rest of it would not let the valve close.
 */
export function pulseSteps(at: usize, shareX32: i32): u32 {
  const period = state.periodSteps;
  const flowing = ((shareX32 as u32) * period + 16_000) / 32_000;
  const closing = setting(at + 6) / B.PWM_STEP_US;
  if (flowing <= closing) return 0;
  const width = flowing + openingUs(at) / B.PWM_STEP_US - closing;
  return width + closing >= period ? period : width;
}

function putPulse(channel: u32, steps: u32): void {
  store<u16>(PULSES + ((channel as usize) << 1), steps as u16);
}

/** Works out both pulses of a stage; true when nitrous flows. A wet stage has nitrous only together with fuel. */
export function drive(s: u32, shareX32: i32): bool {
  const at = stageSettings(s);
  let nitrous: u32 = shareX32 > 0 ? pulseSteps(at + S.STAGE_NITROUS_SOLENOID_AT, shareX32) : 0;
  let fuel: u32 = 0;
  if (nitrous && setting(at + S.STAGE_FUEL_SOLENOID_PRESENT)) {
    fuel = pulseSteps(at + S.STAGE_FUEL_SOLENOID_AT, shareX32);
    if (fuel === 0) nitrous = 0;
  }
  putPulse(2 * s, nitrous);
  putPulse(2 * s + 1, fuel);
  return nitrous !== 0;
}
