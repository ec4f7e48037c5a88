// Milliseconds as the pages write them.

/** A time in s as text in ms; no time is never. */
export const ms = (s: number | undefined): string =>
  s === undefined ? "never" : `${(1000 * s).toFixed(1)} ms`;
