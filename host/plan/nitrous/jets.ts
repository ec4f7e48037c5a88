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
  const shared = wantedM2.map((wanted) => {
    const target = Math.max(0, wanted + lack);
    const { below, above } = around(holeDiameterM(target / nozzles), sizes);
    const [low, high] = [below, above].map((d) => nozzles * holeAreaM2(d)) as [number, number];
    const up = rounding === "nearest" && high - target < target - low && high - target <= OVER * allM2;
    lack = target - (up ? high : low);
    return up ? above : below;
  });
  return corrected(shared, allM2, nozzles, sizes, rounding);
}

/** The next size on hand, m, larger or smaller; undefined at the end of the list. */
function beside(diameterM: number, step: 1 | -1, sizes: Sizes): number | undefined {
  if (sizes === undefined) {
    const next = diameterM + step * STEP_M;
    return next > STEP_M / 2 ? next : undefined;
  }
  return sizes[sizes.indexOf(diameterM) + step];
}

/**
 * Where the last stage could not make good what was left, because no smaller or no larger jet is on hand, others do, one size at a
 * time, as long as that brings all of them nearer to what was asked for. Rounding down never goes up.
 */
function corrected(
  jets: readonly number[],
  allM2: number,
  nozzles: number,
  sizes: Sizes,
  rounding: Rounding,
): number[] {
  const miss = (some: readonly number[]) =>
    some.reduce((sum, diameter) => sum + nozzles * holeAreaM2(diameter), 0) / allM2 - 1;
  const now = miss(jets);
  if (Math.abs(now) <= OVER || (now < 0 && rounding === "down")) return [...jets];
  const others = jets.flatMap((jet, i) => {
    const next = beside(jet, now > 0 ? -1 : 1, sizes);
    return next === undefined ? [] : [jets.with(i, next)];
  });
  const [best] = others
    .filter((other) => miss(other) <= OVER || now > OVER)
    .sort((a, b) => Math.abs(miss(a)) - Math.abs(miss(b)));
  if (best === undefined || Math.abs(miss(best)) >= Math.abs(now)) return [...jets];
  return corrected(best, allM2, nozzles, sizes, rounding);
}
