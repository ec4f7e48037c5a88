/** Gauge and absolute pressure kept apart: the atmosphere is added or subtracted here and nowhere else. */
import { ATMOSPHERE_PA } from "./constants.ts";
import type { Quantity } from "./parse.ts";
import type { PressureReference } from "./table.ts";

/**
 * Absolute pressure, Pa, of a pressure as written. `assumed` applies when no reference was written;
 * `atmospherePa` is the surrounding air pressure (standard atmosphere by default).
 */
export function absolutePa(
  pressure: Quantity<"pressure">,
  assumed: PressureReference,
  atmospherePa = ATMOSPHERE_PA,
): number {
  const reference = pressure.reference ?? assumed;
  return reference === "absolute" ? pressure.value : pressure.value + atmospherePa;
}

/** Gauge pressure, Pa, of a pressure as written; the counterpart of `absolutePa`. */
export function gaugePa(
  pressure: Quantity<"pressure">,
  assumed: PressureReference,
  atmospherePa = ATMOSPHERE_PA,
): number {
  return absolutePa(pressure, assumed, atmospherePa) - atmospherePa;
}
