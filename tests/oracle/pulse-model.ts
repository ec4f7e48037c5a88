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

/** Width that opens a valve for the share, counter steps, not a whole number; the period when it stays open, 0 when it stays shut. */
export function widthSteps(
  sharePermille: number,
  period: number,
  solenoid: Solenoid,
  batteryMv: number,
): number {
  const closing = solenoid.closingUs / PWM_STEP_US;
  const open = (sharePermille / 1000) * period;
  const width = open - closing + openingUs(solenoid, batteryMv) / PWM_STEP_US;
  if (open <= closing) return 0;
  return width + closing >= period ? period : width;
}

/** Pulses of a stage, nitrous and fuel: a wet stage has neither without the other, a dry one has no fuel. */
export function stagePulses(
  sharePermille: number,
  period: number,
  stage: Stage,
  batteryMv: number,
): [number, number] {
  const width = (solenoid: Solenoid): number => widthSteps(sharePermille, period, solenoid, batteryMv);
  const nitrous = width(stage.nitrousSolenoid);
  if (!stage.fuelSolenoid) return [nitrous, 0];
  const fuel = width(stage.fuelSolenoid);
  return nitrous > 0 && fuel > 0 ? [nitrous, fuel] : [0, 0];
}

/** Share of full flow that a pulse gives: what `widthSteps` turns round. */
export function shareOf(width: number, period: number, solenoid: Solenoid, batteryMv: number): number {
  if (width === 0) return 0;
  if (width >= period) return 1000;
  const lag = (openingUs(solenoid, batteryMv) - solenoid.closingUs) / PWM_STEP_US;
  return (1000 * (width - lag)) / period;
}
