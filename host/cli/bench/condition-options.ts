// Options by which a run differs from the plan, with their units: shares, times, pressures and noise.
import { InvalidArgumentError } from "@commander-js/extra-typings";
import { parseQuantity } from "#host/units/parse.ts";
import type { Dimension } from "#host/units/table.ts";

/** Reads a quantity with its unit into the base unit, within limits given in words. */
export function quantityOption(
  dimension: Dimension,
  [least, most]: readonly [number, number],
  limits: string,
): (text: string) => number {
  return (text) => {
    const parsed = parseQuantity(text, dimension);
    if (!parsed.ok) throw new InvalidArgumentError(`${parsed.error.message}.`);
    const { value, reference } = parsed.value;
    if (reference === "absolute") throw new InvalidArgumentError("pressures here are gauge, not absolute.");
    if (value >= least && value <= most) return value;
    throw new InvalidArgumentError(`enter ${limits}.`);
  };
}

/** A share of what was planned. */
export const shareOption = quantityOption("ratio", [0.3, 2], "30 % to 200 %");
/** A deviation on both sides of what was planned. */
export const toleranceOption = quantityOption("ratio", [0, 0.5], "0 % to 50 %");
export const lateOption = quantityOption("time", [0, 3], "0 s to 3 s");
export const liftOption = quantityOption("time", [0.1, 30], "0.1 s to 30 s");
export const bottleOption = quantityOption("pressure", [1e6, 9e6], "150 psi to 1300 psi");
export const bottleToleranceOption = quantityOption("pressure", [0, 3e6], "0 psi to 430 psi");
/** Of a battery without load by the valves. */
export const batteryOption = quantityOption("voltage", [8, 18], "8 V to 18 V");
export const noiseOption = quantityOption("voltage", [0, 0.2], "0 mV to 200 mV");
