// The settings table as people see it: every entry with its path in file keys and its numbers in written units, list places as N.

import { UNITS, type UnitSuffix } from "../model/units.ts";
import type { AXES } from "./settings.ts";
import { SETTINGS } from "./settings.ts";
import { fileKey, type NumberSetting, type SettingNode } from "./table.ts";

/** One entry. `keys` is `stages.N.ramps.N.over`; `path` the same place in a document, its list places N too. */
export interface Entry {
  readonly node: SettingNode;
  readonly keys: string;
  readonly path: string;
}

const join = (parent: string, name: string): string => (parent === "" ? name : `${parent}.${name}`);

function walk(node: SettingNode, parent: Entry): Entry[] {
  const here = {
    node,
    keys: join(parent.keys, fileKey(node)),
    path: join(parent.path, node.name),
  };
  if (node.kind === "group") return [here, ...node.fields.flatMap((field) => walk(field, here))];
  if (node.kind !== "list") return [here];
  const item = { node, keys: `${here.keys}.N`, path: `${here.path}.N` };
  return [here, ...node.fields.flatMap((field) => walk(field, item))];
}

/** Every entry of the table, in stored order. */
export const ENTRIES: readonly Entry[] = SETTINGS.fields.flatMap((field) =>
  walk(field, { node: SETTINGS, keys: "", path: "" }),
);

const keysByPath = new Map(ENTRIES.map((entry) => [entry.path, entry.keys]));

/** File keys of a document path such as `stages.0.ramps.1.points.3.0`; which place of which list is left open. */
export function keysOf(path: string): string {
  const general = path.replace(/\.\d+(?=\.|$)/g, ".N");
  const [entry = general, rest = ""] = general.split(/(?<=\.points)(?=\.)/);
  const keys = keysByPath.get(entry);
  if (keys === undefined) throw new Error(`no setting at ${path}`);
  return rest === "" ? keys : `${keys}.N`;
}

/** Unit of the places of a ramp on each axis. */
export const AXIS_UNITS: Readonly<Record<(typeof AXES)[number], UnitSuffix>> = {
  time: "Ms",
  launch: "Ms",
  "engine-speed": "Rpm",
  "road-speed": "DeciKmh",
  manifold: "DeciKpa",
};

/** A hysteresis is a difference: of pressures, it has no reference. */
export const isDifference = (node: NumberSetting): boolean => node.name.startsWith("hysteresis");

/** `absolute` or `gauge` where a number must say it, else nothing. */
export function referenceOf(node: NumberSetting): "absolute" | "gauge" | undefined {
  const unit = UNITS[node.unit];
  return "reference" in unit && !isDifference(node) ? unit.reference : undefined;
}

/** Raw counts of a number as people write it, exact: `3200 rpm`, `85 kPa absolute`. */
export function written(raw: number, node: NumberSetting): string {
  const { perWritten, written: unit } = UNITS[node.unit];
  return [raw / perWritten, unit, referenceOf(node)].filter((part) => part !== undefined).join(" ");
}
