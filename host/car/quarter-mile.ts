/**
 * The quarter mile: its length, and rules of thumb for its time from weight and power; only a plausibility check, because they assume
 * full traction throughout. Constants as retold by J. Lucius (Huntington, Rod & Custom 1958; Fox 1973; McCaul, Hot Rod 1973; P. Hale 1986).
 */
import { HORSEPOWER_W, MILE_M, POUND_KG } from "#host/units/constants.ts";

/** A quarter and an eighth of a mile, m. */
export const QUARTER_MILE_M = MILE_M / 4;
export const EIGHTH_MILE_M = MILE_M / 8;

const FORMULAS = [
  ["Hale", 5.825, 234],
  ["Huntington", 6.29, 224],
  ["Fox and McCaul", 6.269, 230],
] as const;

/** Time, s, and end speed, miles an hour, by each formula, from a mass with driver, kg, and a peak power, W. */
export function quarterMileRules(
  massKg: number,
  powerW: number,
): { name: string; timeS: number; mph: number }[] {
  const root = Math.cbrt(massKg / POUND_KG / (powerW / HORSEPOWER_W));
  return FORMULAS.map(([name, time, speed]) => ({ name, timeS: time * root, mph: speed / root }));
}
