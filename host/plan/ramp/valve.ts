/** Shares of full flow that a pulsed solenoid can make: below the least it does not open, above the greatest it stays open. */

/** Solenoid times, s, and pulse frequency, Hz. `openingS` is the slowest (lowest battery voltage that is allowed). */
export interface ValveTimes {
  readonly openingS: number;
  readonly closingS: number;
  readonly frequencyHz: number;
}

/** Least and greatest share that pulses can make. */
export interface ValveRange {
  readonly least: number;
  readonly greatest: number;
}

/**
 * Range of a valve. Open share = (duty x period - opening + closing) / period while the pulse outlasts the opening and
 * the pause the closing: from closing / period up to 1 - opening / period.
 */
export const valveRange = ({ openingS, closingS, frequencyHz }: ValveTimes): ValveRange => ({
  least: closingS * frequencyHz,
  greatest: 1 - openingS * frequencyHz,
});

/** Flow share that comes of a commanded share. */
export function deliveredShare(range: ValveRange, commanded: number): number {
  if (commanded < range.least) return 0;
  return commanded > range.greatest ? 1 : commanded;
}

/** Greatest command whose flow does not exceed a limit. */
export function allowedShare(range: ValveRange, limit: number): number {
  if (limit < range.least) return 0;
  return limit >= 1 ? 1 : Math.min(limit, range.greatest);
}
