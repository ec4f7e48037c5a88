// How much of a long test is done: a part on any day, the whole in CI and wherever it is asked for.

/** True where everything is run, not a spread-out sample. */
export const ALL = process.env.CI !== undefined && process.env.CI !== "";
/** Properties make all their runs in CI, and where weaker tests would be judged by them: while mistakes are tried. */
const ALL_RUNS = ALL || process.env.HEADGATE_RUNS === "all";

/** Runs of a deep property: all in CI, a fifth elsewhere. */
export const runs = (all: number): { numRuns: number } => ({
  numRuns: ALL_RUNS ? all : Math.ceil(0.2 * all),
});

/** Every so many-th of a list, or all of it in CI. */
export function sample<T>(list: readonly T[], every: number): readonly T[] {
  return ALL ? list : list.filter((_, i) => i % every === 0);
}
