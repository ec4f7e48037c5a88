// By how much the conditions of a run may differ from the plan: drawn at random within, or all corners of it.
import { ASSUMED_LAGS, type SupplyLags } from "#host/car/supply-data.ts";
import { AS_PLANNED, type Conditions } from "./conditions.ts";
import { RunRandom } from "./random.ts";

/** Both ways, but for the late start and the battery; pressures in Pa. */
export interface Tolerance {
  readonly gripShare: number;
  readonly lateS: number;
  readonly bottlePa: number;
  readonly flowShare: number;
  readonly valveShare: number;
  /** By how much the battery may be lower, and higher, V. */
  readonly batteryDownV: number;
  readonly batteryUpV: number;
  /** Deviation of the noise at every sensor, mV, in every run. */
  readonly noiseMv: number;
}

/** What a supply's battery may come to. */
export const batteryTolerance = ({
  batteryV,
  batteryLowV,
  batteryHighV,
}: Pick<SupplyLags, "batteryV" | "batteryLowV" | "batteryHighV">): Pick<
  Tolerance,
  "batteryDownV" | "batteryUpV"
> => ({ batteryDownV: batteryV - batteryLowV, batteryUpV: batteryHighV - batteryV });

/** What a day at a track may bring (common practice, no source). */
export const USUAL_TOLERANCE: Tolerance = {
  gripShare: 0.1,
  lateS: 0.3,
  bottlePa: 5e5,
  flowShare: 0.1,
  valveShare: 0.15,
  ...batteryTolerance(ASSUMED_LAGS),
  noiseMv: 5,
};

/** In the order in which they are drawn. */
const AXES = ["gripShare", "lateS", "bottlePa", "flowShare", "valveShare", "batteryV"] as const;

/** Both ends of each condition. */
function endsOf(tolerance: Tolerance): Record<(typeof AXES)[number], readonly [low: number, high: number]> {
  const around = (middle: number, by: number) => [middle - by, middle + by] as const;
  return {
    gripShare: around(1, tolerance.gripShare),
    lateS: [0, tolerance.lateS],
    bottlePa: around(0, tolerance.bottlePa),
    flowShare: around(1, tolerance.flowShare),
    valveShare: around(1, tolerance.valveShare),
    batteryV: [-tolerance.batteryDownV, tolerance.batteryUpV],
  };
}

/** Conditions of one run of a spread: anything within the tolerance, all alike. */
export function drawn(tolerance: Tolerance, seed: number, run: number): Conditions {
  const random = new RunRandom(seed, run);
  const ends = endsOf(tolerance);
  const values = AXES.map((axis) => [axis, random.between(...ends[axis])] as const);
  return { ...AS_PLANNED, ...Object.fromEntries(values), noiseMv: tolerance.noiseMv };
}

/** As planned, and then every corner of the tolerance: each condition at one end or the other. */
export function corners(tolerance: Tolerance): Conditions[] {
  const ends = endsOf(tolerance);
  const fitted = AXES.filter((axis) => ends[axis][0] < ends[axis][1]);
  const noisy = { ...AS_PLANNED, noiseMv: tolerance.noiseMv };
  const all = Array.from({ length: 2 ** fitted.length }, (_, corner) => {
    const values = fitted.map((axis, i) => [axis, ends[axis][(corner >> i) & 1]!] as const);
    return { ...noisy, ...Object.fromEntries(values) };
  });
  return [noisy, ...all];
}
