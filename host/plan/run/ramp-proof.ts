/** What the control core itself says of planned ramps: how far they hold over each axis, and what a spread of runs comes to. */
import type { RampAxis } from "../ramp/share-limits.ts";

/** One condition that was made worse in steps: the furthest step up to which no wheel spun beyond the peak, and whether any step beyond it failed. */
export interface HeldTo {
  readonly value: number;
  readonly failed: boolean;
}

/** Battery without load at both edges, V, and whether the ramps hold there while the tyres grip as much less as is asked. */
export interface BatteryHeld {
  readonly lowV: number;
  readonly highV: number;
  readonly lowHolds: boolean;
  readonly highHolds: boolean;
}

/** Ramps over one axis. Grip as the share that may be lost, the start in s late, the time as planned in s. */
export interface AxisProof {
  readonly axis: RampAxis;
  readonly reserve: number;
  readonly quarterS: number;
  readonly grip: HeldTo;
  readonly late: HeldTo;
  readonly battery: BatteryHeld;
}

/** The proof of a plan's ramps; times of the spread in s. */
export interface RampProof {
  readonly runs: number;
  readonly medianS: number;
  readonly lowS: number;
  readonly highS: number;
  readonly chosen: RampAxis;
  readonly axes: readonly AxisProof[];
}

/** What was seen at one step. */
export interface StepSeen {
  readonly value: number;
  readonly overPeakS: number;
}

/** The last step before the first one that spun; steps rise. Undefined without a step that holds: `value` is then 0 and `failed` true. */
export function heldTo(steps: readonly StepSeen[]): HeldTo {
  const first = steps.findIndex(({ overPeakS }) => overPeakS > 0);
  if (first < 0) return { value: steps.at(-1)?.value ?? 0, failed: false };
  return { value: steps[first - 1]?.value ?? 0, failed: true };
}

/** Does an axis hold at what the car file asks for, at every battery? The start counts over the launch alone. */
export const holdsAsAsked = (
  { axis, grip, late, battery }: Pick<AxisProof, "axis" | "grip" | "late" | "battery">,
  asked: { readonly gripLoss: number; readonly lateS: number },
): boolean =>
  grip.value >= asked.gripLoss - 1e-9 &&
  (axis !== "launch" || late.value >= asked.lateS - 1e-9) &&
  battery.lowHolds &&
  battery.highHolds;

/** The quickest axis that holds as asked; the one that holds furthest when none does. */
export function provenBest(
  axes: readonly AxisProof[],
  asked: { readonly gripLoss: number; readonly lateS: number },
): AxisProof {
  const holding = axes.filter((axis) => holdsAsAsked(axis, asked));
  const quickest = (a: AxisProof, b: AxisProof): AxisProof => (b.quarterS < a.quarterS ? b : a);
  if (holding.length > 0) return holding.reduce(quickest);
  return axes.reduce((a, b) => (b.grip.value > a.grip.value ? b : a));
}
