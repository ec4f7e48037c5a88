// How much room each part of the board takes on a perforated board of 2.54 mm, and in which holes its legs stand.
import type { CircuitPin, Part } from "../circuit/part.ts";

/** Columns to the right and rows down, in holes. */
export type Hole = readonly [column: number, row: number];

export interface Footprint {
  readonly width: number;
  readonly height: number;
  /** Hole of each pin, from the upper left corner. */
  readonly holes: ReadonlyMap<string, Hole>;
}

function row(pins: readonly CircuitPin[], pitch: number, height: number, margin = 0): Footprint {
  const holes = pins.map(({ no }, i): [string, Hole] => [no, [margin + pitch * i, Math.floor(height / 2)]]);
  return { width: 2 * margin + pitch * (pins.length - 1) + 1, height, holes: new Map(holes) };
}

/** Two rows of pins, the first half below from left to right, the second above from right to left. */
function dual(pins: readonly CircuitPin[], apart: number): Footprint {
  const half = pins.length / 2;
  const holes = pins.map(({ no }, i): [string, Hole] => [
    no,
    i < half ? [i, apart] : [pins.length - 1 - i, 0],
  ]);
  return { width: half, height: apart + 1, holes: new Map(holes) };
}

const big = ({ rating, part }: Part): boolean =>
  rating.watts === 2 || /1500 W|load-dump|power diode/.test(part);

/** Room of one part. Where a maker's part is larger, move its neighbours: this is a plan to begin with. */
export function footprint(part: Part): Footprint {
  const { kind, pins, rating } = part;
  if (kind === "chip" && pins.length > 8) return dual(pins, pins.length > 20 ? 7 : 3);
  if (kind === "chip") return row(pins, 1, 2);
  if (kind === "n-fet" || (kind === "p-fet" && pins.length === 3)) return row(pins, 1, 2, 1);
  if (kind === "connector" || kind === "fuse")
    return row(pins, Number(rating.amps) >= 10 || kind === "fuse" ? 2 : 1, 1);
  if (kind === "capacitor")
    return row(pins, /film|electrolytic/.test(part.part) ? 3 : 2, /electrolytic/.test(part.part) ? 4 : 1);
  if (pins.length === 2 && kind !== "jumper") return row(pins, big(part) ? 6 : 4, big(part) ? 2 : 1);
  return row(pins, 1, 1);
}
