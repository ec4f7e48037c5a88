// The plain model of a solenoid's pulse: a share of full flow becomes a pulse width by the valve's opening and closing times.
import { PWM_STEP_US } from "#shared-schema/model/blocks.ts";
import type { Solenoid, Stage } from "./settings.ts";

/** Opening time at a battery voltage, microseconds: straight between 10, 12 and 14 V, ends held. */
export function openingUs(solenoid: Solenoid, batteryMv: number): number {
  const { opening10VUs: at10, opening12VUs: at12, opening14VUs: at14 } = solenoid;
  const mv = Math.min(14_000, Math.max(10_000, batteryMv));
  return mv <= 12_000
    ? at10 + ((at12 - at10) * (mv - 10_000)) / 2000
    : at12 + ((at14 - at12) * (mv - 12_000)) / 2000;
}

/** PWM period in whole counter steps. */
export function periodSteps(frequencyHz: number): number {
  return Math.floor(1e6 / PWM_STEP_US / frequencyHz);
}

/** Longest pattern in periods: none repeats at less than 8 Hz, none has more than three periods. */
export function longestPattern(frequencyHz: number): 1 | 2 | 3 {
  if (frequencyHz < 16) return 1;
  return frequencyHz < 24 ? 2 : 3;
}

/** Pulses of a stage, nitrous and fuel, in counter steps, not whole numbers: both valves open for the same time, or stay open, or stay shut. */
export function stagePulses(
  sharePermille: number,
  period: number,
  { nitrousSolenoid, fuelSolenoid }: Stage,
  batteryMv: number,
): [number, number] {
  const valves = [nitrousSolenoid, ...(fuelSolenoid ? [fuelSolenoid] : [])].map((solenoid) => ({
    opening: openingUs(solenoid, batteryMv) / PWM_STEP_US,
    closing: solenoid.closingUs / PWM_STEP_US,
  }));
  const openings = valves.map(({ opening }) => opening);
  const asked = (sharePermille / 1000) * period;
  const open = Math.min(asked, period - Math.max(...openings));
  const both = (width: (valve: (typeof valves)[0]) => number): [number, number] => [
    width(valves[0]!),
    valves[1] ? width(valves[1]) : 0,
  ];
  if (asked + Math.min(...openings) >= period) return both(() => period);
  if (valves.some(({ closing }) => open <= closing)) return [0, 0];
  return both(({ opening, closing }) => open + opening - closing);
}
