// The structure of a section of a plan, and how its sections write quantities.
import type { SystemPlan } from "#host/plan/system-plan.ts";
import { formatQuantity, toUnit } from "#host/units/format.ts";

/** A table; columns in `numeric` stand to the right on a page. */
export interface PlanTable {
  readonly head: readonly string[];
  readonly rows: readonly (readonly string[])[];
  readonly numeric?: readonly number[];
}

/** A section: paragraphs and tables in order. */
export interface PlanSection {
  readonly id: string;
  readonly heading: string;
  readonly parts: readonly (string | PlanTable)[];
}

/** `125 hp (93 kW)`. */
export const power = (watts: number): string =>
  `${formatQuantity(watts, "hp", 0)} (${formatQuantity(watts, "kW", 0)})`;

/** `900 psi gauge`, against the air of the place. */
export const gauge = (pascal: number, airPa: number): string =>
  `${toUnit(pascal - airPa, "psi").toFixed(0)} psi gauge`;

/** `0.91 mm (0.036 in)`. */
export const bore = (metres: number): string =>
  `${toUnit(metres, "mm").toFixed(2)} mm (${toUnit(metres, "in").toFixed(3)} in)`;

/** `0.91 mm/.036 in`, for columns. */
export const smallBore = (metres: number): string =>
  `${toUnit(metres, "mm").toFixed(2)} mm/${toUnit(metres, "in").toFixed(3).replace("0.", ".")} in`;

/** Time of the fuel jets' bench test, s. */
const BENCH_S = 30;

/** Volume, ml, that a fuel flow, kg/s, fills in the bench test, at a density, kg/m3. */
export const millilitres = (kgS: number, densityKgM3: number): number => (kgS * BENCH_S * 1e6) / densityKgM3;

/** `7 %`. */
export const percentOf = (share: number): string => `${(100 * share).toFixed(0)} %`;

/** Pressure at which fuel jets are measured on the bench: what they see under full boost is less than the gauge shows. */
export const benchPressure = ({ fuelTest, kinds }: Pick<SystemPlan, "fuelTest" | "kinds">): string =>
  `${toUnit(fuelTest.dropPa, "psi").toFixed(0)} psi${kinds.boostPa > 0 ? ", fuel pressure less full boost" : ""}`;
