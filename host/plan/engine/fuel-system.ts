/** Fuel jets, pump and injector headroom; incompressible liquid through a sharp-edged orifice. Pressures are differences, Pa. */
import type { Fuel } from "./fuels.ts";

/** Fuel mass flow, kg/s, through an area, m2, at a pressure above the manifold's, Pa; zero when there is none. */
export const fuelJetFlow = (areaM2: number, coefficient: number, dropPa: number, fuel: Fuel): number =>
  coefficient * areaM2 * Math.sqrt(2 * fuel.densityKgM3 * Math.max(0, dropPa));

/** Area, m2, that passes a fuel flow, kg/s, at a pressure drop above zero, Pa. Throws RangeError without one. */
export function fuelJetAreaM2(fuelKgS: number, coefficient: number, dropPa: number, fuel: Fuel): number {
  if (!(dropPa > 0)) throw new RangeError("fuel pressure does not exceed manifold pressure");
  return fuelKgS / (coefficient * Math.sqrt(2 * fuel.densityKgM3 * dropPa));
}

/** The flow needed and the flow of the part fitted; `share` above 1 means that the part is too small. Absent when the fitted size is unknown. */
export interface Headroom {
  readonly neededKgS: number;
  readonly fittedKgS: number;
  readonly share: number;
}

/** Pump headroom from its rated volume flow, m3/s, at the working pressure. */
export function pumpHeadroom(neededKgS: number, ratedM3S: number, fuel: Fuel): Headroom {
  const fittedKgS = ratedM3S * fuel.densityKgM3;
  return { neededKgS, fittedKgS, share: neededKgS / fittedKgS };
}

/** Injector headroom: `count` injectors of a volume flow each, m3/s, up to a largest duty (0 to 1). */
export function injectorHeadroom(
  neededKgS: number,
  eachM3S: number,
  count: number,
  duty: number,
  fuel: Fuel,
): Headroom {
  const fittedKgS = eachM3S * count * duty * fuel.densityKgM3;
  return { neededKgS, fittedKgS, share: neededKgS / fittedKgS };
}

/** Added injector open time a cycle (two revolutions), s, for a fuel flow, kg/s, spread over all injectors. */
export function addedInjectorS(
  fuelKgS: number,
  eachM3S: number,
  count: number,
  engineRpm: number,
  fuel: Fuel,
): number {
  const perCycleKg = (fuelKgS / count) * (120 / engineRpm);
  return perCycleKg / (eachM3S * fuel.densityKgM3);
}
