// What many runs came to: quantiles, trips by row, and the run that is worst.
import type { SpreadRun } from "./spread.ts";

/** Shares of the runs that lie below; 0 and 1 are the ends. */
export const SHARES = [0, 0.05, 0.25, 0.5, 0.75, 0.95, 1] as const;

/** Value below which a share of the values lies, straight between neighbours; undefined without values. */
export function quantile(values: readonly number[], share: number): number | undefined {
  const sorted = [...values].sort((a, b) => a - b);
  const place = share * (sorted.length - 1);
  const low = sorted[Math.floor(place)];
  const high = sorted[Math.ceil(place)];
  return low === undefined || high === undefined ? undefined : low + (high - low) * (place % 1);
}

/** Quantiles at all of `SHARES`; empty without values. */
export const quantiles = (values: readonly number[]): number[] =>
  values.length === 0 ? [] : SHARES.map((share) => quantile(values, share)!);

/** How many runs each interlock tripped in, the most often first. */
export function tripsByRow(runs: readonly SpreadRun[]): { readonly id: string; readonly runs: number }[] {
  const counts = new Map<string, number>();
  for (const { trips } of runs) for (const id of trips) counts.set(id, (counts.get(id) ?? 0) + 1);
  return [...counts]
    .map(([id, count]) => ({ id, runs: count }))
    .sort((a, b) => b.runs - a.runs || a.id.localeCompare(b.id));
}

const timeOf = ({ quarterS, eighthS }: SpreadRun): number => quarterS ?? eighthS ?? Number.POSITIVE_INFINITY;

/** The run that spins longest beyond the peak, then the one with the most slip, then the slowest. */
export function worstOf(runs: readonly SpreadRun[]): SpreadRun | undefined {
  const worse = (a: SpreadRun, b: SpreadRun): number =>
    b.overPeakS - a.overPeakS || b.worstSlip - a.worstSlip || timeOf(b) - timeOf(a) || a.run - b.run;
  return [...runs].sort(worse)[0];
}
