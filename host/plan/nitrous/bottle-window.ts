/** The bottle's working window, and the liquid that its vessel sends into the line at each pressure: boiling, or pressed when it is full. */
import type { Bottle } from "./bottle.ts";
import { CRITICAL } from "./equation-of-state.ts";
import { blendedFlux, type Inlet, saturatedInlet } from "./flow.ts";
import { SaturationRangeError, saturationAt, saturationTemperatureK } from "./saturation.ts";
import { type VesselContent, vesselAtPressure } from "./states.ts";

/** Absolute pressures, Pa, between which flow is allowed. `watched`: a sensor ends the flow outside them; `given`: by the car file. */
export interface BottleWindow {
  readonly lowestPa: number;
  readonly highestPa: number;
  readonly watched: boolean;
  readonly given: boolean;
}

/** How far the pressure must come back inside before flow may begin again, Pa: it falls as soon as a stage opens. */
export const BOTTLE_HYSTERESIS_PA = 7e4;
/** The working pressure lies so far above the lowest at least, Pa: a heater then starts where flow may begin, and has 50 kPa to switch in. */
export const LEAST_UNDER_PA = BOTTLE_HYSTERESIS_PA + 5e4;
/** Least width of a window, Pa: the settings ask for 150 kPa beside the hysteresis, after both ends are rounded inwards to whole kPa. */
export const LEAST_WIDTH_PA = BOTTLE_HYSTERESIS_PA + 1.52e5;

/** Pressures at which edges are looked for, from the lowest of a window to its highest. */
const PLACES = 6;

/** What a dip tube draws from a vessel. Throws SaturationRangeError at and above the critical temperature. */
export function drawnInlet({ state, drawn }: VesselContent): Inlet {
  if (state.temperatureK >= CRITICAL.temperatureK)
    throw new SaturationRangeError("above the critical temperature a bottle holds no liquid");
  return { state: drawn, vapourPa: saturationAt(state.temperatureK).pressurePa };
}

/** Inlet of the line from a bottle filled to its charge, at an absolute pressure, Pa. */
export const fullInlet = ({ chargeKg, volumeM3 }: Bottle, pressurePa: number): Inlet =>
  drawnInlet(vesselAtPressure(chargeKg / volumeM3, pressurePa));

/** Every inlet that a pressure, absolute Pa, may mean: of the full bottle, and of one partly emptied, whose liquid boils. */
export function inletsAt(bottle: Bottle, pressurePa: number): Inlet[] {
  const full = fullInlet(bottle, pressurePa);
  if (full.vapourPa >= pressurePa * 0.9999 || pressurePa >= CRITICAL.pressurePa * 0.998) return [full];
  return [full, saturatedInlet(saturationTemperatureK(pressurePa))];
}

/** Absolute pressures, Pa, over a window. */
export const placesOf = ({ lowestPa, highestPa }: BottleWindow): number[] =>
  Array.from({ length: PLACES }, (_, i) => lowestPa + ((highestPa - lowestPa) * i) / (PLACES - 1));

/** Least and greatest flow over a window against the flow of the full bottle at its working pressure, Pa, as factors. */
export function flowOverWindow(
  bottle: Bottle,
  window: BottleWindow,
  workingPa: number,
  backPa: number,
): { low: number; high: number } {
  const planned = blendedFlux(fullInlet(bottle, workingPa), backPa);
  const fluxes = placesOf(window)
    .flatMap((pressurePa) => inletsAt(bottle, pressurePa))
    .map((inlet) => blendedFlux(inlet, backPa) / planned);
  return { low: Math.min(1, ...fluxes), high: Math.max(1, ...fluxes) };
}
