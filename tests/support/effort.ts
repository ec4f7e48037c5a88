// How much of a long test is done: a part on any day, the whole in CI and wherever it is asked for.

/** True where everything is run, not a spread-out sample. */
export const ALL = process.env.CI !== undefined && process.env.CI !== "";
/** Properties make all their runs in CI, and where weaker tests would be judged by them: while mistakes are tried. */
export const ALL_RUNS = ALL || process.env.HEADGATE_RUNS === "all";

const PART = 0.1;
const FEW = 3;

/** Runs of a deep property: all in CI, a tenth elsewhere; of few runs a fifth, until that makes three. */
export const runs = (all: number): { numRuns: number } => ({
  numRuns: ALL_RUNS ? all : Math.max(Math.ceil(PART * all), Math.min(FEW, Math.ceil(2 * PART * all))),
});

/** Every so many-th of a list, or all of it in CI. */
export function sample<T>(list: readonly T[], every: number): readonly T[] {
  return ALL ? list : list.filter((_, i) => i % every === 0);
}
