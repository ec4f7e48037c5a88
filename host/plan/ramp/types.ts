/** Types of a ramp fit; axis values are in the unit of the axis, shares 0 to 1. */

/** One sample of the limit: axis value (rising), highest allowed share there, and the time saved by a unit of share. */
export interface LimitSample {
  readonly at: number;
  readonly limit: number;
  readonly weight: number;
}

/** A ramp: axis values rising strictly, shares 0 to 1. */
export type Ramp = readonly (readonly [at: number, share: number])[];

/** Resolution of the search: candidate axis values, candidate shares at each, and the number of knots allowed. */
export interface FitEffort {
  readonly axisValues: number;
  readonly values: number;
  readonly points: number;
  /** Shares below this give no flow and count as zero. */
  readonly least: number;
}
