/** What a ramp fit works on; places are in the unit of the axis, shares 0 to 1. */

/** One sample of the limit: place on the axis (rising), highest allowed share there, and what a unit of share is worth. */
export interface LimitSample {
  readonly at: number;
  readonly limit: number;
  readonly weight: number;
}

/** A ramp: places rising strictly, shares 0 to 1. */
export type Ramp = readonly (readonly [at: number, share: number])[];

/** How finely to look: candidate places, candidate values at each, and the knots allowed. */
export interface FitEffort {
  readonly places: number;
  readonly values: number;
  readonly points: number;
  /** Shares under this make no flow, and count as none. */
  readonly least: number;
}
