/**
 * Nitrous flow to power and fuel. Heat = fuel that finds oxygen times heating value, plus the decomposition of the
 * nitrous oxide; brake power = heat times a stated thermal efficiency. All flows in kg/s, powers in W.
 */
import type { Fuel } from "./fuels.ts";
import { DECOMPOSITION_HEAT_J_KG, NITROUS_OXYGEN_SHARE, nitrousPerKg } from "./oxygen-balance.ts";

/** Fuel flow for a nitrous flow at a lambda of the added charge (1 stoichiometric, below 1 rich). */
export const fuelForNitrous = (nitrousKgS: number, fuel: Fuel, lambda: number): number =>
  nitrousKgS / (lambda * nitrousPerKg(fuel.oxygenKgKg));

/** Lambda of an added charge. Infinite without fuel. */
export const chargeLambda = (nitrousKgS: number, fuelKgS: number, fuel: Fuel): number =>
  fuelKgS === 0 ? Number.POSITIVE_INFINITY : nitrousKgS / (fuelKgS * nitrousPerKg(fuel.oxygenKgKg));

/** Brake power of an added charge: rich, oxygen limits the heat; lean, fuel does. */
export function addedPowerW(nitrousKgS: number, fuelKgS: number, fuel: Fuel, efficiency: number): number {
  const oxygenLimited = (nitrousKgS * NITROUS_OXYGEN_SHARE) / fuel.oxygenKgKg;
  const burnt = Math.min(fuelKgS, oxygenLimited);
  return efficiency * (burnt * fuel.heatingValueJKg + nitrousKgS * DECOMPOSITION_HEAT_J_KG);
}

/** Nitrous flow for an added brake power with fuel at a lambda of 1 or below; the inverse of `addedPowerW`. */
export function nitrousForPower(powerW: number, fuel: Fuel, lambda: number, efficiency: number): number {
  return powerW / addedPowerW(1, fuelForNitrous(1, fuel, lambda), fuel, efficiency);
}

/** Fuel flow of the engine alone at a brake power, lambda and thermal efficiency; rich, oxygen limits the heat. */
export const engineFuel = (powerW: number, fuel: Fuel, lambda: number, efficiency: number): number =>
  powerW / (efficiency * fuel.heatingValueJKg * Math.min(1, lambda));

/**
 * Lambda of the whole engine: oxygen of air and nitrous against all fuel.
 * `engineFuelKgS` is burnt at `engineLambda` in air.
 */
export function totalLambda(
  engineFuelKgS: number,
  engineLambda: number,
  nitrousKgS: number,
  fuelKgS: number,
  fuel: Fuel,
): number {
  const oxygen = engineFuelKgS * engineLambda * fuel.oxygenKgKg + nitrousKgS * NITROUS_OXYGEN_SHARE;
  return oxygen / ((engineFuelKgS + fuelKgS) * fuel.oxygenKgKg);
}

/** Ignition retard, degrees, for an added power, W: about 2 degrees a 50 hp (common practice, no source). */
export const retardDeg = (addedW: number): number => (2 * addedW) / (50 * 745.6998715822702);
