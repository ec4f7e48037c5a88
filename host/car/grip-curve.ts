/** Friction of a tyre over slip on both sides of its peak: as given, or assumed from the highest friction alone. */
import type { CarData } from "./car.ts";
import { peakFriction } from "./settled/traction.ts";
import { Table } from "./table.ts";

const CELLS = 800;
/** Slip at which a wheel that spins has the friction of a sliding one. */
const SLIDING_SLIP = 1;
/** Rising side of an assumed curve: share of the peak's slip, share of its friction (common practice, no source). */
const RISE = [
  [0, 0],
  [0.4, 0.62],
  [0.7, 0.9],
  [1, 1],
] as const;

/** Points of (slip, friction) from 0 to a sliding wheel, and slip and friction at the peak. */
export interface GripCurve {
  readonly points: readonly (readonly [slip: number, friction: number])[];
  readonly peakSlip: number;
  readonly peak: number;
}

function assumedPoints(peak: number, peakSlip: number, slidingShare: number): [number, number][] {
  const rise = RISE.map(([slip, share]): [number, number] => [slip * peakSlip, share * peak]);
  return [...rise, [SLIDING_SLIP, peak * slidingShare]];
}

/** The curve that the car's tyres follow. Beyond its last point a given curve falls to the sliding share. */
export function gripCurve({ grip, motion }: CarData): GripCurve {
  const peak = peakFriction(grip);
  if (grip.curve.length < 2)
    return {
      points: assumedPoints(peak, motion.peakSlip, motion.slidingShare),
      peakSlip: motion.peakSlip,
      peak,
    };
  const peakSlip = grip.curve.find(([, friction]) => friction === peak)![0];
  const from = grip.curve[0]![0] > 0 ? ([[0, 0]] as const) : [];
  const [lastSlip, lastFriction] = grip.curve.at(-1)!;
  const end = Math.min(lastFriction, peak * motion.slidingShare);
  const to = lastSlip < SLIDING_SLIP ? ([[SLIDING_SLIP, end]] as const) : [];
  return { points: [...from, ...grip.curve, ...to], peakSlip, peak };
}

/** Friction over slip, ready to be read at every step. */
export const gripTable = (curve: GripCurve): Table => new Table(curve.points, CELLS);
