/** Best ramp of few points under a limit: searched on a grid, then each knot lifted as far as its neighbours and the limit allow. */

import { interpolateLine } from "#host/car/torque-curve.ts";
import { Search } from "./search.ts";
import type { FitEffort, LimitSample, Ramp } from "./types.ts";

export type { FitEffort, LimitSample, Ramp } from "./types.ts";

/** Default effort; the time of a fit is proportional to axisValues^2 * values^2 * points. */
export const DEFAULT_EFFORT: FitEffort = { axisValues: 90, values: 14, points: 12, least: 0 };

/** Share of a ramp at an axis value, ends held. */
export const rampAt = (ramp: Ramp, at: number): number => interpolateLine(ramp, at);

/** Highest value of knot `i`, its neighbours fixed, that keeps both its segments under the limit. */
function liftOf(ramp: Ramp, i: number, samples: readonly LimitSample[]): number {
  const [x, y] = ramp[i]!;
  const left = ramp[i - 1];
  const right = ramp[i + 1];
  let lift = 1 - y;
  for (const s of samples) {
    if ((left && s.at <= left[0]) || (right && s.at >= right[0])) continue;
    const end = s.at <= x ? left : right;
    const part = end === undefined || s.at === x ? 1 : (s.at - end[0]) / (x - end[0]);
    lift = Math.min(lift, (s.limit - rampAt(ramp, s.at)) / part);
  }
  return y + Math.max(0, lift);
}

/** The best ramp under the limit; the first and last sample are always knots. Throws RangeError under two samples. */
export function fitRamp(samples: readonly LimitSample[], effort: FitEffort = DEFAULT_EFFORT): Ramp {
  if (samples.length < 2) throw new RangeError("a ramp needs at least two samples of its limit");
  if (samples.every(({ limit }) => limit >= 1))
    return [samples[0]!, samples.at(-1)!].map(({ at }) => [at, 1]);
  const ramp = new Search(samples, effort).run().map(([at, share]) => [at, share] as [number, number]);
  for (let round = 0; round < 2; round++) {
    for (const [i, knot] of ramp.entries()) knot[1] = liftOf(ramp, i, samples);
  }
  return ramp;
}
