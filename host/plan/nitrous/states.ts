/** States off the saturation line: compressed liquid, mixture of liquid and vapour, and a closed vessel of given content. */
import { CRITICAL, type FluidState, pressureAt, stateAt } from "./equation-of-state.ts";
import { fallingRoot } from "./root.ts";
import { type Saturation, SaturationRangeError, saturationAt, saturationTemperatureK } from "./saturation.ts";

/** Temperatures, K, between which a vessel's state is looked for. */
const COLDEST_K = 200;
const HOTTEST_K = 340;

/** Liquid at an absolute pressure, Pa, at or above its vapour pressure, and a temperature, K, below critical. */
export function compressedLiquid(pressurePa: number, temperatureK: number): FluidState {
  const { liquid } = saturationAt(temperatureK);
  if (pressurePa < liquid.pressurePa * (1 - 1e-6)) {
    throw new SaturationRangeError(`no liquid at ${pressurePa} Pa and ${temperatureK} K`);
  }
  let density = liquid.densityKgM3;
  for (let i = 0; i < 50; i++) {
    const { pressurePa: p, slope } = pressureAt(temperatureK, density);
    const step = (pressurePa - p) / slope;
    density += step;
    if (Math.abs(step) < 1e-9 * density) break;
  }
  return stateAt(temperatureK, density);
}

/** Saturated liquid, or a mixture with vapour, at an absolute pressure, Pa, and enthalpy, J/kg: the state downstream of a throttle. */
export function throttledTo(pressurePa: number, enthalpyJKg: number): FluidState {
  const sat = saturationAt(saturationTemperatureK(pressurePa));
  const quality = (enthalpyJKg - sat.liquid.enthalpyJKg) / (sat.vapour.enthalpyJKg - sat.liquid.enthalpyJKg);
  return mixture(sat, Math.min(Math.max(quality, 0), 1));
}

const between = (a: number, b: number, share: number): number => a + share * (b - a);

/** Mixture at a saturation with a mass share `quality` (0 to 1) of vapour. */
export function mixture(sat: Saturation, quality: number): FluidState {
  const { liquid, vapour } = sat;
  return {
    temperatureK: sat.temperatureK,
    pressurePa: sat.pressurePa,
    densityKgM3: 1 / between(1 / liquid.densityKgM3, 1 / vapour.densityKgM3, quality),
    enthalpyJKg: between(liquid.enthalpyJKg, vapour.enthalpyJKg, quality),
    entropyJKgK: between(liquid.entropyJKgK, vapour.entropyJKgK, quality),
  };
}

/** Content of a closed vessel: its mean state, and the mass share of liquid (1 when it is full of liquid, 0 when none is left). */
export interface VesselContent {
  readonly state: FluidState;
  readonly liquidShare: number;
  /** Above critical, or liquid-full: pressure no longer indicates the temperature. */
  readonly singlePhase: boolean;
  /** What a dip tube draws: saturated liquid, or the single phase. */
  readonly drawn: FluidState;
}

/** Content at a mean density, kg/m3, and temperature, K. */
export function vesselAt(densityKgM3: number, temperatureK: number): VesselContent {
  if (temperatureK < CRITICAL.temperatureK) {
    const sat = saturationAt(temperatureK);
    if (densityKgM3 < sat.liquid.densityKgM3 && densityKgM3 > sat.vapour.densityKgM3) {
      const liquidM3 = 1 / sat.liquid.densityKgM3;
      const quality = (1 / densityKgM3 - liquidM3) / (1 / sat.vapour.densityKgM3 - liquidM3);
      const state = mixture(sat, quality);
      return { state, liquidShare: 1 - quality, singlePhase: false, drawn: sat.liquid };
    }
  }
  const state = stateAt(temperatureK, densityKgM3);
  const liquidShare = densityKgM3 > CRITICAL.densityKgM3 ? 1 : 0;
  return { state, liquidShare, singlePhase: true, drawn: state };
}

/** Internal energy, J/kg, of a state. */
export const internalEnergyJKg = (state: FluidState): number =>
  state.enthalpyJKg - state.pressurePa / state.densityKgM3;

/** How far from a temperature nearby the solution is looked for first, K. */
const NEAR_K = 0.3;
const TOLERANCE_K = 1e-8;

/** Temperature, K, at which `rises(temperature)` reaches `wanted`, inside the vessel's range; looked for around `nearK` first. */
function solveTemperature(rises: (temperatureK: number) => number, wanted: number, nearK?: number): number {
  const short = (temperatureK: number): number => wanted - rises(temperatureK);
  if (nearK !== undefined) {
    const [from, to] = [Math.max(COLDEST_K, nearK - NEAR_K), Math.min(HOTTEST_K, nearK + NEAR_K)];
    const found = fallingRoot(short, from, to, TOLERANCE_K);
    if (found > from && found < to) return found;
  }
  return fallingRoot(short, COLDEST_K, HOTTEST_K, TOLERANCE_K);
}

/** Content at a mean density, kg/m3, and absolute pressure, Pa; 200 to 340 K. */
export function vesselAtPressure(densityKgM3: number, pressurePa: number): VesselContent {
  const temperatureK = solveTemperature((t) => vesselAt(densityKgM3, t).state.pressurePa, pressurePa);
  return vesselAt(densityKgM3, temperatureK);
}

/** Content at a mean density, kg/m3, and mean internal energy, J/kg; 200 to 340 K. `nearK`: a temperature that it is likely near. */
export function vesselAtEnergy(densityKgM3: number, energyJKg: number, nearK?: number): VesselContent {
  const energyAt = (t: number) => internalEnergyJKg(vesselAt(densityKgM3, t).state);
  const temperatureK = solveTemperature(energyAt, energyJKg, nearK);
  return vesselAt(densityKgM3, temperatureK);
}
