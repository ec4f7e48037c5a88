/** What acts on a car in motion from outside, and the states of its clutch. */

/** Whether the clutch passes nothing, slips, or turns as one. */
export type Clutch = "open" | "slipping" | "locked";

/** What acts on the car from outside; the caller writes it before a step, and it stays until changed. */
export class MotionInput {
  /** Pedal that the driver wants, 0 to 1. Lifts at gear changes and at wheelspin come on top by the driver's data. */
  pedal = 0;
  /** The car is held: launch switch, clutch pedal or brake. It goes when this ends with the pedal down and the engine at launch speed. */
  hold = false;
  /** Power, W, that nitrous and its fuel add to the engine now. */
  addedW = 0;
}
