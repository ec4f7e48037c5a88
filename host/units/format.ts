/** Formats values in base units for people; the inverse of parsing. */
import {
  DIMENSION_NAMES,
  type Dimension,
  dimensionEntry,
  type Unit,
  type UnitName,
  type UnitOf,
} from "./table.ts";

function unitEntry(unit: string, dimension: Dimension | undefined): Unit {
  const home = dimension ?? DIMENSION_NAMES.find((name) => Object.hasOwn(dimensionEntry(name).units, unit));
  const entry = home === undefined ? undefined : dimensionEntry(home).units[unit];
  if (entry === undefined) throw new RangeError(`no unit "${unit}"${dimension ? ` of ${dimension}` : ""}`);
  return entry;
}

/**
 * A value in the base unit, as a number in `unit`. Give `dimension` for a temperature difference: C, F and K alone
 * mean temperatures. Throws RangeError for a unit that the dimension does not have.
 */
export function toUnit(valueBase: number, unit: UnitName, dimension?: Dimension): number {
  const { factor, offset = 0 } = unitEntry(unit, dimension);
  return valueBase / factor - offset;
}

/** A number in `unit`, as a value in the base unit of its dimension; the inverse of `toUnit`. */
export function fromUnit(value: number, unit: UnitName, dimension?: Dimension): number {
  const { factor, offset = 0 } = unitEntry(unit, dimension);
  return (value + offset) * factor;
}

/** `formatQuantity(6.55e6, "psi", 0)` is `950 psi`; `digits` are decimals. Minus zero is written as zero. */
export function formatQuantity<D extends Dimension>(
  valueBase: number,
  unit: UnitOf<D>,
  digits: number,
  dimension?: D,
): string {
  const written = toUnit(valueBase, unit as UnitName, dimension).toFixed(digits);
  return `${Number(written) === 0 ? written.replace("-", "") : written} ${unit}`;
}
