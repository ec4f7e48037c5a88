// Where the rise limit, and not the ramp, rules: parts of a ramp over time that ask for more than the limit gives.
import type { Document } from "#shared-schema/settings/pack.ts";
import { fieldOf } from "./field.ts";
import { axisStorage, writeStored } from "./stored.ts";

interface Ramp {
  readonly over: string;
  readonly points: readonly (readonly [number, number])[];
}

/** A part of a ramp that rises faster than the limit. */
export interface HeldRise {
  /** The ramp, in file keys. */
  readonly field: string;
  readonly text: string;
}

const atMs = (ms: number): string => writeStored(ms, axisStorage("time"));

/** Percent a second between two points. */
const slope = ([fromMs, from]: readonly [number, number], [toMs, to]: readonly [number, number]): number =>
  (100 * (to - from)) / (toMs - fromMs);

function heldIn(field: string, { points }: Ramp, limit: number): HeldRise[] {
  const [first] = points;
  const jump =
    first === undefined || first[1] === 0
      ? []
      : [
          `${field} begins at ${first[1] / 10} %; the rise limit of ${limit} %/s takes ${atMs(Math.round((100 * first[1]) / limit))} to get there`,
        ];
  const steep = points.slice(1).flatMap((to, i) => {
    const from = points[i]!;
    const rise = slope(from, to);
    return rise <= limit
      ? []
      : [
          `${field} rises by ${Math.round(rise)} %/s from ${atMs(from[0])} to ${atMs(to[0])}; the rise limit of ${limit} %/s rules there, not the ramp`,
        ];
  });
  return [...jump, ...steep].map((text) => ({ field, text }));
}

/** All such parts. A ramp over anything but time rises as fast as the car does, which no settings file can tell. */
export function heldRises(document: Document): HeldRise[] {
  const { riseLimitPercentPerS: limit } = document.flow as { riseLimitPercentPerS: number };
  return (document.stages as { ramps: readonly Ramp[] }[]).flatMap(({ ramps }, s) =>
    ramps.flatMap((ramp, r) =>
      ramp.over === "time" || ramp.over === "launch"
        ? heldIn(fieldOf(`stages.${s}.ramps.${r}`), ramp, limit)
        : [],
    ),
  );
}
