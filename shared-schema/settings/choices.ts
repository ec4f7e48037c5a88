// Words and counts that the settings table uses in several places. The place of a word in its list is what is stored.

/** Points that a ramp can have. */
export const RAMP_POINTS = 12;
export const RAMPS_PER_STAGE = 2;
/** What a ramp can run over. */
export const AXES = ["time", "launch", "engine-speed", "road-speed", "manifold"] as const;
/** What the sender of the road speed input counts. Wheelspin moves all but an undriven wheel. */
export const ROAD_SENDERS = ["driveshaft", "driven-wheel", "undriven-wheel"] as const;
export const STAGE_KINDS = ["wet", "dry"] as const;
export const YES_NO = ["no", "yes"] as const;
/** Gears by name. */
export const GEARS = ["first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth"] as const;
/** What a stage does when the throttle comes back after a lift within the run. */
export const AFTER_LIFT = ["restart", "resume", "step-back"] as const;
/** Points of the retard table. */
export const RETARD_POINTS = 6;
