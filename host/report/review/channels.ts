// What a record measures, as a reader wants it: title, unit, decimals, and the limits that the settings set to it.
import type { Document } from "#shared-schema/settings/pack.ts";

/** A limit of a channel in the unit that is shown; `ids` are the interlocks that watch it. */
export interface Limit {
  readonly words: string;
  readonly value: number;
  readonly ids: readonly string[];
}

/** Where a limit stands in a settings document, and what one count of it is in the unit that is shown. */
interface LimitPlace {
  readonly words: string;
  readonly path: readonly string[];
  readonly per: number;
  readonly ids: readonly string[];
}

/** One measured column. */
export interface Channel {
  /** Column of the log. */
  readonly column: string;
  readonly title: string;
  /** Unit that is shown, and for a pressure what it is measured against. */
  readonly unit: string;
  /** What one unit of the log's column is in the unit that is shown. */
  readonly per: number;
  readonly digits: number;
  /** Its axis begins at zero; else it fits what was measured. */
  readonly fromZero: boolean;
  readonly limits: readonly LimitPlace[];
}

const limit = (words: string, path: string, per: number, ...ids: string[]): LimitPlace => ({
  words,
  path: path.split("."),
  per,
  ids,
});

const channel = (
  column: string,
  [title, unit, digits]: readonly [string, string, number],
  limits: readonly LimitPlace[] = [],
  { per = 1, fromZero = true }: { per?: number; fromZero?: boolean } = {},
): Channel => ({ column, title, unit, digits, per, fromZero, limits });

const stageShare = (n: number): Channel => channel(`share${n}`, [`Share of stage ${n}`, "%", 1]);

/** All channels, in the order in which they are shown. */
export const CHANNELS: readonly Channel[] = [
  channel(
    "engineSpeed",
    ["Engine speed", "rpm", 0],
    [
      limit("window opens", "windows.engineSpeed.openRpm", 1, "RPM-WIN"),
      limit("window closes", "windows.engineSpeed.closeRpm", 1, "RPM-WIN"),
    ],
  ),
  channel(
    "roadSpeed",
    ["Road speed", "km/h", 1],
    [
      limit("window opens", "windows.roadSpeed.openDeciKmh", 0.1, "SPEED-WIN"),
      limit("window closes", "windows.roadSpeed.closeDeciKmh", 0.1, "SPEED-WIN"),
    ],
  ),
  ...[1, 2, 3, 4].map(stageShare),
  channel(
    "bottle",
    ["Bottle pressure", "kPa gauge", 0],
    [
      limit("lowest", "bottle.lowestKpaGauge", 1, "BOTTLE-LOW"),
      limit("highest", "bottle.highestKpaGauge", 1, "BOTTLE-HIGH"),
    ],
    { fromZero: false },
  ),
  channel(
    "fuel",
    ["Fuel pressure", "kPa gauge", 1],
    [limit("lowest", "fuel.lowestDeciKpaGauge", 0.1, "FUEL-LOW")],
  ),
  channel(
    "manifold",
    ["Manifold pressure", "kPa absolute", 1],
    [
      limit("window opens", "windows.manifold.openDeciKpa", 0.1, "MAP-WIN"),
      limit("window closes", "windows.manifold.closeDeciKpa", 0.1, "MAP-WIN"),
      limit("overboost", "manifold.overboost.aboveDeciKpa", 0.1, "OVERBOOST"),
    ],
  ),
  channel(
    "lambda",
    ["Mixture", "lambda", 2],
    [limit("leanest", "lambda.leanestMilliLambda", 0.001, "LEAN")],
    {
      fromZero: false,
    },
  ),
  channel("battery", ["Battery", "V", 1], [limit("lowest", "battery.lowestMv", 0.001, "BATT-LOW")], {
    fromZero: false,
  }),
  channel(
    "throttle",
    ["Throttle", "%", 1],
    [limit("open at", "throttle.position.opensAtPermille", 0.1, "WOT")],
  ),
  channel("retard", ["Retard asked for", "deg", 1]),
];

/** A number of a settings document by its place; undefined where the part is left out. */
export function numberAt(settings: Document | undefined, path: readonly string[]): number | undefined {
  let value: unknown = settings;
  for (const key of path) value = (value as Record<string, unknown> | undefined)?.[key];
  return typeof value === "number" ? value : undefined;
}

/** The limits that settings set to a channel. */
export function limitsOf({ limits }: Channel, settings: Document | undefined): Limit[] {
  return limits.flatMap(({ words, path, per, ids }) => {
    const count = numberAt(settings, path);
    return count === undefined ? [] : [{ words, ids, value: count * per }];
  });
}

/** A value of the log as it is shown: `6750 kPa gauge`. */
export function shown({ unit, per, digits }: Channel, value: number): string {
  return `${(value * per).toFixed(digits)} ${unit}`;
}

/** A value that is in the unit already. */
export const withUnit = ({ unit, digits }: Channel, value: number): string =>
  `${value.toFixed(digits)} ${unit}`;

/** The channel that an interlock watches, with its limits; undefined for those that watch none that is in the log. */
export function watchedBy(
  id: string,
  settings: Document | undefined,
): { channel: Channel; limits: readonly Limit[] } | undefined {
  for (const one of CHANNELS) {
    if (!one.limits.some(({ ids }) => ids.includes(id))) continue;
    return { channel: one, limits: limitsOf(one, settings).filter(({ ids }) => ids.includes(id)) };
  }
  return undefined;
}
