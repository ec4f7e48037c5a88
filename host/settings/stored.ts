// One number between what people write and what is stored: `65.5 psi gauge` to raw counts of its unit, and back.

import type { SettingsErrorCode } from "#host/errors/codes.ts";
import { toUnit } from "#host/units/format.ts";
import { findUnit, unitList } from "#host/units/lookup.ts";
import { parseQuantity, type QuantityErrorCode } from "#host/units/parse.ts";
import { absolutePa, gaugePa } from "#host/units/pressure.ts";
import type { Dimension, UnitName } from "#host/units/table.ts";
import { type StoredUnit, UNITS } from "#shared-schema/model/units.ts";
import { AXIS_UNITS, isDifference } from "#shared-schema/settings/entries.ts";
import type { AXES } from "#shared-schema/settings/settings.ts";
import type { NumberSetting } from "#shared-schema/settings/table.ts";

/** What a number is stored as. A difference (a hysteresis) of pressures has no reference. */
export interface Storage {
  readonly unit: StoredUnit;
  readonly difference: boolean;
}

export const storageOf = (node: NumberSetting): Storage => ({
  unit: UNITS[node.unit],
  difference: isDifference(node),
});
export const axisStorage = (axis: (typeof AXES)[number]): Storage => ({
  unit: UNITS[AXIS_UNITS[axis]],
  difference: false,
});
export const SHARE_STORAGE: Storage = { unit: UNITS.Permille, difference: false };

/** Dimension of a stored unit in the table of written units. */
function dimensionOf(unit: StoredUnit): Dimension {
  const found = findUnit(unit.written, []);
  if (!found) throw new Error(`no written unit ${unit.written}`);
  return found.dimension;
}

/** Why a text is not a value. */
export interface Refused {
  readonly code: SettingsErrorCode;
  readonly text: string;
  readonly nearest?: string;
}

const CODES: Readonly<Record<QuantityErrorCode, SettingsErrorCode>> = {
  "not-a-number": "bad-number",
  "decimal-comma": "bad-number",
  "missing-unit": "missing-unit",
  "unknown-unit": "wrong-unit",
  "wrong-dimension": "wrong-unit",
  "unexpected-unit": "wrong-unit",
  "unexpected-reference": "pressure-reference",
};

const needsReference = ({ unit, difference }: Storage): boolean =>
  unit.reference !== undefined && !difference;

/** Units that a value may be written in, `psi, bar, kPa, MPa or Pa, absolute or gauge`. */
export function takesUnits(storage: Storage): string {
  const units = unitList(dimensionOf(storage.unit));
  return needsReference(storage) ? `${units}, and then absolute or gauge` : units;
}

/** Pascals against what the unit is stored against. */
function referredPa(pressure: Parameters<typeof absolutePa>[0], unit: StoredUnit): number {
  return unit.reference === "gauge" ? gaugePa(pressure, "gauge") : absolutePa(pressure, "absolute");
}

/** Raw counts of a text, rounded to the nearest; not yet held against any limit. */
export function readStored(text: string, storage: Storage): number | Refused {
  const { unit } = storage;
  const parsed = parseQuantity(text, dimensionOf(unit));
  if (!parsed.ok) {
    const { code, message, nearest } = parsed.error;
    return { code: CODES[code], text: message, ...(nearest === undefined ? {} : { nearest }) };
  }
  const quantity = parsed.value;
  const wanted = needsReference(storage);
  if (wanted && quantity.reference === undefined)
    return { code: "pressure-reference", text: `"${text}" must say \`absolute\` or \`gauge\`` };
  if (!wanted && quantity.reference !== undefined)
    return {
      code: "pressure-reference",
      text: `this is a pressure difference; leave out \`${quantity.reference}\``,
    };
  const base = wanted ? referredPa({ ...quantity, dimension: "pressure" }, unit) : quantity.value;
  return Math.round(toUnit(base, unit.written as UnitName) * unit.perWritten) + 0;
}

/** Raw counts as people read them, exact: `3200 rpm`, `110.1 kPa absolute`. */
export function writeStored(raw: number, storage: Storage): string {
  const reference = needsReference(storage) ? ` ${storage.unit.reference}` : "";
  return `${raw / storage.unit.perWritten} ${storage.unit.written}${reference}`;
}
