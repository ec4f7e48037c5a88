// Two runs on one axis: time since a common moment, or distance covered since it; and the difference between them.
import type { Origin } from "./origin.ts";
import type { LogSample } from "./sample.ts";

/** What an axis counts: seconds or metres since the origin. */
export type AxisKind = "time" | "distance";

/** A run with a place on the axis for each of its records; places rise, and may stand still where the car does. */
export interface Track {
  readonly samples: readonly LogSample[];
  readonly places: readonly number[];
}

/** Between two records there lies more only where records are lost, s. */
export const GAP_S = 0.03;
const KMH = 3.6;

/** Every record by the time since the origin. */
export function byTime(samples: readonly LogSample[], { atS }: Origin): Track {
  return { samples, places: samples.map(({ time = 0 }) => Number((time - atS).toFixed(3))) };
}

/**
 * Records from the origin on by the distance that the road speed in them adds up to, m. It is the way of whatever part
 * the sender counts: of a driven one the wheelspin is in it. Over lost records the speed is taken as straight.
 */
export function byDistance(samples: readonly LogSample[], { atS }: Origin): Track {
  const after = samples.filter(({ time = 0 }) => time >= atS);
  let metres = 0;
  const places = after.map(({ time = 0, roadSpeed = 0 }, i) => {
    const before = after[i - 1];
    if (before) {
      const meanKmh = (roadSpeed + (before.roadSpeed ?? 0)) / 2;
      metres += (meanKmh / KMH) * (time - (before.time ?? 0));
    }
    return metres;
  });
  return { samples: after, places };
}

/** The track of a run on an axis. */
export const trackOf = (samples: readonly LogSample[], origin: Origin, axis: AxisKind): Track =>
  axis === "time" ? byTime(samples, origin) : byDistance(samples, origin);

/** Reads a column of a track at rising places, straight between two records; null outside it and where records are lost. */
export function readAt({ samples, places }: Track, column: string, at: readonly number[]): (number | null)[] {
  let i = 0;
  return at.map((place) => {
    while (i + 1 < places.length - 1 && places[i + 1]! <= place) i++;
    const [from, to] = [places[i], places[i + 1]];
    const [before, after] = [samples[i], samples[i + 1]];
    if (from === undefined || to === undefined || place < from || place > to) return null;
    if (after!.time! - before!.time! > GAP_S) return null;
    const share = to === from ? 0 : (place - from) / (to - from);
    return before![column]! + share * (after![column]! - before![column]!);
  });
}

/** The second run less the first, at the places of the first; null where one of them has no record. */
export function difference(one: Track, other: Track, column: string): (number | null)[] {
  const there = readAt(other, column, one.places);
  return there.map((value, i) => (value === null ? null : value - one.samples[i]![column]!));
}
