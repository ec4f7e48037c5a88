// Flow share to pulses: opening and closing times say which part of a pulse flows, and both valves of a stage decide as one.
import * as B from "./generated/blocks";
import * as S from "./generated/settings";
import { Stage, state } from "./state";

const LEAST_MV: u32 = 10_000;
const MOST_MV: u32 = 14_000;
const BETWEEN_MV: u32 = 12_000;

/** Counter steps by which rounding may move a pulse; both valves keep so far from what they could not do. */
const ROUNDING: u32 = 2;

/** Opening time in microseconds, rounded up, of the solenoid whose words lie at `at`, at a battery voltage from LEAST_MV to MOST_MV. */
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

/** Counter steps, rounded so that a pulse comes out short by a step or two: nitrous never flows longer than it was told. */
function shorter(us: u32): u32 {
  return (us - 1) / B.PWM_STEP_US;
}

/** Counter steps, rounded up. */
function longer(us: u32): u32 {
  return (us + 1) / B.PWM_STEP_US;
}

/** The pulse of a stage without a fuel solenoid: 0, the whole period, or what makes the valve open for `flowing` steps. */
// @inline
function onePulse(nitrous: usize, flowing: u32, mv: u32): u32 {
  const period = state.periodSteps;
  const opening = shorter(openingUs(nitrous, mv));
  const closing = longer(load<u16>(nitrous, 6));
  if (flowing <= closing) return 0;
  return flowing + opening >= period ? period : flowing + opening - closing;
}

/**
 * Both pulses of a wet stage, nitrous and fuel << 16. Where one valve could not open for so little, neither does. Where one
 * could not close for so much, both make the most that both can; where neither could, both stay open. Nitrous is rounded to
 * the shorter side, fuel to the longer.
 */
// @inline
function bothPulses(nitrous: usize, fuel: usize, flowing: u32, mv: u32): u32 {
  const period = state.periodSteps;
  const nitrousUs = openingUs(nitrous, mv);
  const fuelUs = openingUs(fuel, mv);
  const slower = longer(max<u32>(nitrousUs, fuelUs)) + ROUNDING;
  const nitrousClosing = longer(load<u16>(nitrous, 6));
  const fuelClosing = (load<u16>(fuel, 6) as u32) / B.PWM_STEP_US;
  const least = max<u32>(nitrousClosing, fuelClosing) + ROUNDING;
  if (flowing + shorter(min<u32>(nitrousUs, fuelUs)) >= period) return period | (period << 16);
  const both = min<u32>(flowing, period - min<u32>(slower, period));
  if (both <= least) return 0;
  return (both + shorter(nitrousUs) - nitrousClosing) | ((both + longer(fuelUs) - fuelClosing) << 16);
}

/** Works out both pulses of a stage; true when nitrous flows. A wet stage has nitrous only together with fuel. */
// @inline
export function drive(stage: Stage): bool {
  const at = stage.settings;
  const shareX32 = stage.shareX32;
  let pulses: u32 = 0;
  if (shareX32 > 0) {
    const flowing = flowingSteps(shareX32);
    const mv = min<u32>(max<u32>(state.batteryMv, LEAST_MV), MOST_MV);
    const nitrous = at + S.STAGE_NITROUS_SOLENOID_AT;
    pulses = load<u16>(at, S.STAGE_FUEL_SOLENOID_PRESENT)
      ? bothPulses(nitrous, at + S.STAGE_FUEL_SOLENOID_AT, flowing, mv)
      : onePulse(nitrous, flowing, mv);
  }
  stage.pulses = pulses;
  return pulses !== 0;
}
