/** Kinds of systems beside the chosen one: fuel pressure that a dry system without an engine computer would need, and what uneven spread does to the leanest cylinder. */

/** Where the nitrous enters, and how far one cylinder's share of nitrous and of fuel may each lie from the mean (judgement, no source). */
export const SPREADS = [
  { layout: "one nozzle", apart: 0.1 },
  { layout: "plate", apart: 0.07 },
  { layout: "nozzle for each cylinder", apart: 0.03 },
] as const;

/** Injectors may fail to open against more than this, gauge Pa (common practice, no source; their maker's number rules). */
export const MOST_INJECTOR_PA = 550e3;

/**
 * Gauge pressure, Pa, at which the same injectors at the same duty pass the engine's own fuel and the added one, kg/s: flow goes
 * with the root of the pressure drop over the injector, which is the fuel's over the manifold's, both gauge.
 */
export function raisedPressurePa(
  fuelPa: number,
  manifoldPa: number,
  ownKgS: number,
  addedKgS: number,
): number {
  const drop = fuelPa - manifoldPa;
  return manifoldPa + drop * ((ownKgS + addedKgS) / ownKgS) ** 2;
}

/** Lambda of the nitrous charge in the leanest cylinder: it gets more of the nitrous and less of the fuel than the mean; injectors of a dry system spread no fuel. */
export const leanestLambda = (chargeLambda: number, apart: number, fuelApart = apart): number =>
  (chargeLambda * (1 + apart)) / (1 - fuelApart);
