/** Words and figures that cautions and choices share. */
import { toUnit } from "#host/units/format.ts";
import type { BottlePlan } from "./nitrous/bottle-plan.ts";

/** Power in whole horsepower. */
export const hp = (watts: number): string => `${toUnit(watts, "hp").toFixed(0)} hp`;

/** A share in whole percent. */
export const percent = (share: number): string => `${(100 * share).toFixed(0)} %`;

/** An absolute pressure, Pa, in psi against the air of the place. */
export const psi = (pascal: number, airPa: number): string =>
  `${toUnit(pascal - airPa, "psi").toFixed(0)} psi gauge`;

/** How long the heater takes from a cold bottle, losses left out. */
export const warmUpText = ({ warmUpS, warmFromK }: BottlePlan): string =>
  `${(warmUpS / 60).toFixed(0)} min from ${toUnit(warmFromK, "C").toFixed(0)} C`;

export const PRACTICE = "common practice, no source";
