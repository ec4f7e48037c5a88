/** The driver as data: what a person does with pedal and clutch, so that a run can be repeated exactly. */

/** A driver. Times in s. */
export interface Driver {
  /** Pedal through a gear change: lifted, or kept down with the ignition cut. */
  readonly shift: "lift" | "flat";
  /** Time of the pedal from one end to the other. */
  readonly pedalS: number;
  /** Time over which the clutch takes up after a gear change. */
  readonly takeUpS: number;
  /**
   * Share of the driven tyres' limit that the driver lets through a slipping clutch, and holds the engine's own power to;
   * Infinity lets the clutch bite whatever comes.
   */
  readonly clutchShare: number;
  /**
   * What the driver does about wheelspin. `held`: the pedal holds the engine's own power to what the tyres take and ignores
   * what nitrous adds. `flat`: nothing. `feather`: the pedal is half way up at `featherSlip` above the peak, whatever made
   * the wheels spin, and follows with a lag of `reactionS`.
   */
  readonly spin: "held" | "flat" | "feather";
  readonly featherSlip: number;
  readonly reactionS: number;
}

/** A practised driver of a car with a manual gearbox (common practice, no source). */
export const ASSUMED_DRIVER: Driver = {
  shift: "lift",
  pedalS: 0.08,
  takeUpS: 0.15,
  clutchShare: 0.95,
  spin: "held",
  featherSlip: 0.1,
  reactionS: 0.2,
};
