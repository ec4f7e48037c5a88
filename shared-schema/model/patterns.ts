// On-runs over several periods: how long a pattern may be (see firmware/core/patterns.ts).

const SLOWEST_HZ = 8;
const MOST_PERIODS = 3;

/** Periods of the longest pattern at a frequency, 1 to 3: none repeats at less than 8 Hz. */
export const longestPattern = (frequencyHz: number): number =>
  Math.max(1, Math.min(MOST_PERIODS, Math.floor(frequencyHz / SLOWEST_HZ)));
