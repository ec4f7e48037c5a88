// By how much the conditions of a run may differ from the plan: drawn at random within, or all corners of it.
import { AS_PLANNED, type Conditions } from "./conditions.ts";
import { RunRandom } from "./random.ts";

/** Both ways, but for the late start; pressures in Pa. */
export interface Tolerance {
  readonly gripShare: number;
  readonly lateS: number;
  readonly bottlePa: number;
  readonly flowShare: number;
  readonly valveShare: number;
  /** Deviation of the noise at every sensor, mV, in every run. */
  readonly noiseMv: number;
}

/** What a day at a track may bring (common practice, no source). */
export const USUAL_TOLERANCE: Tolerance = {
  gripShare: 0.1,
  lateS: 0.3,
  bottlePa: 5e5,
  flowShare: 0.1,
  valveShare: 0.15,
  noiseMv: 5,
};

/** Conditions of one run of a spread: anything within the tolerance, all alike. */
export function drawn(tolerance: Tolerance, seed: number, run: number): Conditions {
  const random = new RunRandom(seed, run);
  const around = (middle: number, by: number): number => random.between(middle - by, middle + by);
  return {
    gripShare: around(1, tolerance.gripShare),
    lateS: random.between(0, tolerance.lateS),
    bottlePa: around(0, tolerance.bottlePa),
    flowShare: around(1, tolerance.flowShare),
    valveShare: around(1, tolerance.valveShare),
    noiseMv: tolerance.noiseMv,
  };
}

const AXES = ["gripShare", "lateS", "bottlePa", "flowShare", "valveShare"] as const;

/** As planned, and then every corner of the tolerance: each condition at one end or the other. */
export function corners(tolerance: Tolerance): Conditions[] {
  const fitted = AXES.filter((axis) => tolerance[axis] > 0);
  const ends = Array.from({ length: 2 ** fitted.length }, (_, corner) => {
    const conditions: Record<string, number> = { ...AS_PLANNED };
    fitted.forEach((axis, i) => {
      const high = ((corner >> i) & 1) === 1;
      const low = axis === "lateS" ? 0 : -tolerance[axis];
      conditions[axis] = AS_PLANNED[axis] + (high ? tolerance[axis] : low);
    });
    return { ...(conditions as unknown as Conditions), noiseMv: tolerance.noiseMv };
  });
  return [{ ...AS_PLANNED, noiseMv: tolerance.noiseMv }, ...ends];
}
