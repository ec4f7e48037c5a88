// The forms that an entry of the settings table can take, and the short functions that write them.
import type { UnitSuffix } from "../model/units.ts";

/** A number with a unit. `name` ends with the unit's suffix; min, max and default are raw counts. */
export interface NumberSetting {
  readonly kind: "number";
  readonly name: string;
  readonly unit: UnitSuffix;
  readonly min: number;
  readonly max: number;
  /** What `headgate new` writes and the plan starts from; never filled in silently. */
  readonly example: number;
  readonly meaning: string;
  /** Why the limits are where they are. */
  readonly reason: string;
}

/** One word out of a list, stored as its place in the list. A yes/no question is a choice of `no`, `yes`. */
export interface ChoiceSetting {
  readonly kind: "choice";
  readonly name: string;
  readonly options: readonly string[];
  readonly example: string;
  readonly meaning: string;
}

/** Settings that belong together. An optional group left out is stored as zeros behind a zero "present" word. */
export interface GroupSetting {
  readonly kind: "group";
  readonly name: string;
  readonly optional: boolean;
  readonly meaning: string;
  readonly fields: readonly SettingNode[];
}

/** A list of groups of the same form, from `min` to `max` of them. */
export interface ListSetting {
  readonly kind: "list";
  readonly name: string;
  readonly min: number;
  readonly max: number;
  readonly meaning: string;
  readonly fields: readonly SettingNode[];
}

/** Points of a ramp: pairs of a place on the ramp's axis (unit depends on `over`) and a share in permille. */
export interface PointsSetting {
  readonly kind: "points";
  readonly name: string;
  readonly min: number;
  readonly max: number;
  readonly meaning: string;
}

export type SettingNode = NumberSetting | ChoiceSetting | GroupSetting | ListSetting | PointsSetting;

/** A number: name without its suffix, unit, smallest, largest, example, meaning, reason of the limits. */
export function number(
  stem: string,
  unit: UnitSuffix,
  [min, max, example]: readonly [number, number, number],
  meaning: string,
  reason: string,
): NumberSetting {
  return { kind: "number", name: `${stem}${unit}`, unit, min, max, example, meaning, reason };
}

export function choice(
  name: string,
  options: readonly string[],
  example: string,
  meaning: string,
): ChoiceSetting {
  return { kind: "choice", name, options, example, meaning };
}

export function group(name: string, meaning: string, fields: readonly SettingNode[]): GroupSetting {
  return { kind: "group", name, optional: false, meaning, fields };
}

export function optional(name: string, meaning: string, fields: readonly SettingNode[]): GroupSetting {
  return { kind: "group", name, optional: true, meaning, fields };
}

/** The key that people write in a settings file: words with hyphens, no unit suffix. */
export function fileKey(node: SettingNode): string {
  const stem = node.kind === "number" ? node.name.slice(0, -node.unit.length) : node.name;
  return stem.replace(/[A-Z0-9]+/g, (m) => `-${m.toLowerCase()}`);
}
