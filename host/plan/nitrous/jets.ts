/** Jets that can be had: the sizes on hand, or every thousandth of an inch; how a wanted area is rounded to them. */
import { INCH_M } from "#host/units/constants.ts";
import { holeAreaM2, holeDiameterM } from "./chain.ts";

/** Jets come in steps of a thousandth of an inch (common practice, no source). */
const STEP_M = INCH_M / 1000;
/** Rounding up may pass what was asked for by this part of it. */
const OVER = 0.03;

/** Diameters on hand, m, rising; undefined means every thousandth of an inch. */
export type Sizes = readonly number[] | undefined;

/** `nearest`, unless that is clearly more than was asked for; `down` where a limit would be passed. */
export type Rounding = "nearest" | "down";

/** The sizes on both sides of a diameter, m; the end of the list where there is none. */
function around(diameterM: number, sizes: Sizes): { below: number; above: number } {
  if (sizes === undefined) {
    const steps = diameterM / STEP_M;
    return {
      below: Math.max(1, Math.floor(steps + 1e-6)) * STEP_M,
      above: Math.max(1, Math.ceil(steps - 1e-6)) * STEP_M,
    };
  }
  return {
    below: sizes.findLast((size) => size <= diameterM * (1 + 1e-6)) ?? sizes[0]!,
    above: sizes.find((size) => size >= diameterM * (1 - 1e-6)) ?? sizes.at(-1)!,
  };
}

/** Smallest jet, m, that is no smaller than a diameter, m; the largest where there is none. */
export const jetAbove = (diameterM: number, sizes: Sizes): number => around(diameterM, sizes).above;

/** Nearest jet, m, to a diameter, m, by its area. */
export function jetNearest(diameterM: number, sizes: Sizes): number {
  const { below, above } = around(diameterM, sizes);
  const area = holeAreaM2(diameterM);
  return holeAreaM2(above) - area < area - holeAreaM2(below) ? above : below;
}

/**
 * One jet, m, for each stage, `nozzles` of it, near wanted areas, m2: what one stage lacks or has too much the next one makes good.
 * `allM2` is the area of all stages, against which `OVER` counts.
 */
export function roundedJets(
  wantedM2: readonly number[],
  nozzles: number,
  sizes: Sizes,
  rounding: Rounding,
): number[] {
  const allM2 = wantedM2.reduce((sum, area) => sum + area, 0);
  let lack = 0;
  return wantedM2.map((wanted) => {
    const target = Math.max(0, wanted + lack);
    const { below, above } = around(holeDiameterM(target / nozzles), sizes);
    const [low, high] = [below, above].map((d) => nozzles * holeAreaM2(d)) as [number, number];
    const up = rounding === "nearest" && high - target < target - low && high - target <= OVER * allM2;
    lack = target - (up ? high : low);
    return up ? above : below;
  });
}
