// What the valves of a stage can make: opening and closing times at the present voltage, in steps of the pulses' counter.
import * as B from "./generated/blocks";
import * as S from "./generated/settings";
import { inputs, Stage, state } from "./state";

const LEAST_MV: u32 = 10_000;
const MOST_MV: u32 = 14_000;
const BETWEEN_MV: u32 = 12_000;
/** Counter steps by which rounding may move a pulse; both valves keep so far from what they could not do. */
export const ROUNDING: u32 = 2;

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

/** Counter steps, rounded so that a pulse comes out short by a step or two: nitrous never flows longer than it was told. */
// @inline
function shorter(us: u32): u32 {
  return (us - 1) / B.PWM_STEP_US;
}

/** Counter steps, rounded up. */
// @inline
function longer(us: u32): u32 {
  return (us + 1) / B.PWM_STEP_US;
}

/** Counter steps that must flow in so many periods for a share in 1/32 permille; three periods have less than 2^16 steps. */
// @inline
export function flowingSteps(shareX32: i32, periods: u32): u32 {
  return ((shareX32 as u32) * state.periodSteps * periods + 16_000) / 32_000;
}

/** The supply as it was seen last while the stage's coils drew from it: it sags then, and so their valves open. */
// @inline
function noteSupply(stage: Stage): void {
  const draws = ((inputs.solenoidPins as u32) >> (2 * stage.number)) & 3;
  if (draws || !stage.periods) stage.drawnMv = state.supplyMv;
}

/** Works out what both valves need at the voltage at which they open. Nitrous is rounded to the shorter side, fuel to the longer; a dry stage has one valve. */
// @inline
export function measureValves(stage: Stage): void {
  noteSupply(stage);
  const mv = min<u32>(max<u32>(stage.drawnMv, LEAST_MV), MOST_MV);
  const nitrous = stage.settings + S.STAGE_NITROUS_SOLENOID_AT;
  const fuel = stage.settings + S.STAGE_FUEL_SOLENOID_AT;
  const nitrousUs = openingUs(nitrous, mv);
  stage.nitrousOpening = shorter(nitrousUs);
  stage.nitrousClosing = longer(load<u16>(nitrous, 6));
  const fuelUs = stage.wet ? openingUs(fuel, mv) : nitrousUs;
  stage.fuelOpening = longer(fuelUs);
  stage.fuelClosing = stage.wet ? load<u16>(fuel, 6) / B.PWM_STEP_US : stage.nitrousClosing;
  stage.slowerOpening = longer(max<u32>(nitrousUs, fuelUs)) + ROUNDING;
  stage.quickerOpening = shorter(min<u32>(nitrousUs, fuelUs));
  stage.leastFlowing = max<u32>(stage.nitrousClosing, stage.fuelClosing) + ROUNDING;
}
