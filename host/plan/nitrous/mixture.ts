/** Mixture and power over bottle pressure, jets and fuel pressure unchanged: low pressure rich, high pressure lean. */

import { interpolateLine } from "#host/car/torque-curve.ts";
import { toUnit } from "#host/units/format.ts";
import { addedPowerW, chargeLambda, engineFuel, totalLambda } from "../engine/power.ts";
import type { PlanInput } from "../input/plan-input.ts";
import { bottleInlet, chainFlow } from "./chain.ts";
import { CRITICAL } from "./equation-of-state.ts";
import { saturationTemperatureK } from "./saturation.ts";
import { chainOf, manifoldPa, type Sizing } from "./sizing.ts";

/** Flow, power and mixture at one bottle pressure, absolute Pa. */
export interface MixtureRow {
  readonly bottlePa: number;
  readonly temperatureK: number;
  readonly nitrousKgS: number;
  readonly addedW: number;
  /** Lambda of the nitrous and its fuel alone, and of the whole engine at peak power. */
  readonly chargeLambda: number;
  readonly engineLambda: number;
}

const ROWS = 14;
const LOWEST_PA = 3.5e6;

/** Rows from 3.5 MPa (about 490 psi gauge) to just under the critical point, rising. */
export function mixtureOverPressure(input: PlanInput, sizing: Sizing): MixtureRow[] {
  const { fuel, engine, nitrous } = { ...input, fuel: input.fuel.fuel };
  const own = engineFuel(engine.powerW, fuel, engine.lambda, engine.efficiency);
  const chain = chainOf(input, sizing.bores, sizing.stages);
  const top = CRITICAL.pressurePa * 0.998;
  return Array.from({ length: ROWS }, (_, i) => {
    const bottlePa = LOWEST_PA + ((top - LOWEST_PA) * i) / (ROWS - 1);
    const nitrousKgS = chainFlow(chain, bottleInlet(bottlePa), manifoldPa(input)).massFlowKgS;
    return {
      bottlePa,
      temperatureK: saturationTemperatureK(bottlePa),
      nitrousKgS,
      addedW: addedPowerW(nitrousKgS, sizing.fuelKgS, fuel, nitrous.efficiency),
      chargeLambda: chargeLambda(nitrousKgS, sizing.fuelKgS, fuel),
      engineLambda: totalLambda(own, engine.lambda, nitrousKgS, sizing.fuelKgS, fuel),
    };
  });
}

/** Nitrous flow, kg/s, of the whole system at a bottle pressure, absolute Pa, from the rows. */
export const flowAtPressure = (rows: readonly MixtureRow[], bottlePa: number): number =>
  interpolateLine(
    rows.map((row) => [row.bottlePa, row.nitrousKgS]),
    bottlePa,
  );

/** Gauge pressure, psi, for words. */
export const gaugePsi = (pressurePa: number, airPa: number): number => toUnit(pressurePa - airPa, "psi");
