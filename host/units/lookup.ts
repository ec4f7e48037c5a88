/** Finds a unit by its spelling, which is case-sensitive because mV is not MV. */
import {
  DIMENSION_NAMES,
  type Dimension,
  dimensionEntry,
  type PressureReference,
  type Unit,
} from "./table.ts";

/** A unit found in the table: its dimension, canonical spelling, conversion, and reference when the spelling says one. */
export interface FoundUnit {
  readonly dimension: Dimension;
  readonly name: string;
  readonly unit: Unit;
  readonly reference?: PressureReference;
}

/** Pressure spellings that carry their reference in the last letter. */
const REFERENCED: Readonly<Record<string, readonly [string, PressureReference]>> = {
  psig: ["psi", "gauge"],
  psia: ["psi", "absolute"],
};

const index = new Map<string, FoundUnit[]>();
for (const dimension of DIMENSION_NAMES) {
  for (const [name, unit] of Object.entries(dimensionEntry(dimension).units)) {
    for (const spelling of [name, ...(unit.aliases ?? [])]) {
      index.set(spelling, [...(index.get(spelling) ?? []), { dimension, name, unit }]);
    }
  }
}
for (const [spelling, [name, reference]] of Object.entries(REFERENCED)) {
  index.set(spelling, [
    { dimension: "pressure", name, unit: dimensionEntry("pressure").units[name]!, reference },
  ]);
}

/** Every accepted spelling of a unit. */
export const SPELLINGS: readonly string[] = [...index.keys()];

/** The unit written as `spelling`, in one of the expected dimensions if it is known there; undefined when unknown. */
export function findUnit(spelling: string, expected: readonly Dimension[]): FoundUnit | undefined {
  const found = index.get(spelling);
  return found?.find((unit) => expected.includes(unit.dimension)) ?? found?.[0];
}

/** A dimension's accepted units as text, `psi, bar, kPa, MPa or Pa`. */
export function unitList(dimension: Dimension): string {
  const names = Object.keys(dimensionEntry(dimension).units);
  return names.length === 1 ? names[0]! : `${names.slice(0, -1).join(", ")} or ${names.at(-1)}`;
}
