// The axis that all plots of a review share: time, or distance.
import type { AxisKind } from "#host/logbook/align.ts";
import type { Origin } from "#host/logbook/origin.ts";
import type { Axis } from "../chart/axis.ts";

/** The shared axis of a review. */
export interface SharedAxis extends Axis {
  readonly kind: AxisKind;
}

/** The shared axis of a page. */
export function sharedAxis(kind: AxisKind, { what }: Origin): SharedAxis {
  return kind === "time"
    ? { kind, perUnit: 1000, unit: "s", key: "t", label: `time since ${what}, s` }
    : { kind, perUnit: 100, unit: "m", key: "d", label: `distance by the road speed since ${what}, m` };
}
