// What holds flow off now. Every check is made in every tick; nothing here ever lets flow begin.
import * as B from "./generated/blocks";
import * as N from "./generated/numbers";
import * as S from "./generated/settings";
import { batteryHold, bottleHold, followHold, fuelHold, repeats } from "./hold";
import { trip } from "./latch";
import { cannotArm } from "./modes";
import { speedDoubted } from "./speed";
import { inputs, isArmed, sensor, setting, state } from "./state";
import { judgeSupply } from "./supply";
import { followLift, lifted, throttleProven } from "./throttle";
import { systemWindows } from "./windows";

/** After arming this long must pass before flow may begin. */
const SETTLE_US: u32 = 50_000;
/** Once it was too low, the battery must be above its limit by this much. */
const BATTERY_BACK_MV: u32 = 300;
/** The arm switch must have been steady this long. */
const STEADY_US: u32 = 5_000;

/** A bottle sags with the flow, and more so the emptier it is: once too low, it must come back by its hysteresis. */
function holdBottle(): bool {
  if (!setting(S.BOTTLE_PRESENT)) return false;
  const kpa = sensor(B.ADC_BOTTLE).value as u32;
  const lowest = setting(S.BOTTLE_LOWEST_KPA_GAUGE);
  const enough = lowest + setting(S.BOTTLE_HYSTERESIS_KPA_GAUGE);
  const held = followHold(bottleHold(), kpa < lowest, kpa >= enough);
  if (repeats(bottleHold())) trip(N.LOCK_BOTTLE_LOW, kpa);
  return held;
}

function coolantGood(): bool {
  if (!setting(S.COOLANT_PRESENT)) return true;
  const mv = sensor(B.ADC_COOLANT).value as u32;
  return mv <= setting(S.COOLANT_COLD_ABOVE_MV) && mv >= setting(S.COOLANT_HOT_BELOW_MV);
}

/** Is fuel pressure under its limit now? */
export function fuelLow(): bool {
  return (
    setting(S.FUEL_PRESENT) !== 0 && sensor(B.ADC_FUEL).value < (setting(S.FUEL_LOWEST_DECI_KPA_GAUGE) as i32)
  );
}

/** Fuel pressure must be proven before a stage may open, by a sixteenth more than its limit once it was low. */
function holdFuel(): bool {
  const lowest = setting(S.FUEL_LOWEST_DECI_KPA_GAUGE);
  const enough = sensor(B.ADC_FUEL).value >= ((lowest + (lowest >> 4)) as i32);
  const held = setting(S.FUEL_PRESENT) !== 0 && followHold(fuelHold(), fuelLow(), enough);
  if (repeats(fuelHold())) trip(N.LOCK_FUEL_LOW, sensor(B.ADC_FUEL).value as u32);
  return held;
}

function holdBattery(): bool {
  const lowest = setting(S.BATTERY_LOWEST_MV);
  const held = followHold(
    batteryHold(),
    state.batteryMv < lowest,
    state.batteryMv >= lowest + BATTERY_BACK_MV,
  );
  if (repeats(batteryHold())) trip(N.LOCK_BATT_LOW, state.batteryMv);
  return held;
}

function armReasons(): u32 {
  const on = inputs.switches & B.SWITCH_ARM;
  if (!isArmed()) return cannotArm() | (state.bootHold && on ? 1 << N.LOCK_ARM_BOOT : 1 << N.LOCK_ARM);
  const ready = on && state.armOnUs >= STEADY_US && state.armedUs >= SETTLE_US;
  return ready ? 0 : 1 << N.LOCK_ARM;
}

// @inline
function setBit(bits: u32, bit: u32, on: bool): u32 {
  return on ? bits | bit : bits & ~bit;
}

function slowReasons(): u32 {
  const before = state.slowReasons;
  const turn = state.turn;
  if (turn === 1) return setBit(before, 1 << N.LOCK_FUEL_LOW, holdFuel());
  if (turn === 2) return setBit(before, 1 << N.LOCK_BATT_LOW, holdBattery());
  if (turn === 3) return setBit(before, 1 << N.LOCK_SUPPLY, judgeSupply());
  return setBit(setBit(before, 1 << N.LOCK_BOTTLE_LOW, holdBottle()), 1 << N.LOCK_COOLANT, !coolantGood());
}

/** What changes slowly is judged in turns, each every fourth tick; the bits stay until their next turn. */
function plantReasons(): u32 {
  let reasons = slowReasons();
  state.slowReasons = reasons;
  if (isArmed() && !lifted()) reasons |= 1 << N.LOCK_LIFT;
  if (!throttleProven()) reasons |= 1 << N.LOCK_WOT;
  if (speedDoubted()) reasons |= 1 << N.LOCK_RPM_JUMP;
  if (state.engineLost) reasons |= 1 << N.LOCK_RPM_LOST;
  return reasons | systemWindows();
}

/** Works out the bits of all interlocks that hold every stage off. */
export function judgeReasons(sensorsGood: bool, adcGood: bool): void {
  let reasons = armReasons();
  if (state.settingsValid) {
    followLift(sensorsGood);
    reasons |= plantReasons();
    if (!sensorsGood) reasons |= 1 << N.LOCK_SENSOR;
    if (!adcGood) reasons |= 1 << N.LOCK_ADC;
  }
  if (state.mode === N.MODE_TRIPPED || state.mode === N.MODE_LOCKED) reasons |= 1 << state.trip;
  state.reasons = reasons;
}
