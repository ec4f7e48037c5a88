/** Shares of full flow that a solenoid can make by on-runs over a few periods: below the least it does not open, above the greatest it stays open. */

import { longestPattern } from "#shared-schema/model/patterns.ts";

/** Solenoid times, s, and pulse frequency, Hz. `openingS` is the slowest (lowest battery voltage that is allowed). */
export interface ValveTimes {
  readonly openingS: number;
  readonly closingS: number;
  readonly frequencyHz: number;
}

/** Least and greatest share that on-runs can make. */
export interface ValveRange {
  readonly least: number;
  readonly greatest: number;
}

/** A stage that is shut opens only with this part of a period more than its valves need (see firmware/core/patterns.ts). */
const ENTRY_PERIODS = 1 / 128;

/**
 * Range of a valve. Open share = (on-run - opening + closing) / (periods x period) while the on-run outlasts the opening
 * and the pause the closing: from closing / (n x period) up to 1 - opening / (n x period).
 */
export function valveRange({ openingS, closingS, frequencyHz }: ValveTimes): ValveRange {
  const periods = longestPattern(frequencyHz);
  return {
    least: (closingS * frequencyHz + ENTRY_PERIODS) / periods,
    greatest: 1 - (openingS * frequencyHz) / periods,
  };
}

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
