/** Mixture and power over bottle pressure, jets and fuel pressure unchanged: low pressure rich, high pressure lean. */

import { interpolateLine } from "#host/car/torque-curve.ts";
import { toUnit } from "#host/units/format.ts";
import { addedPowerW, chargeLambda, engineFuel, totalLambda } from "../engine/power.ts";
import type { PlanInput } from "../input/plan-input.ts";
import { fullInlet, inletsAt, placesOf } from "./bottle-window.ts";
import { chainFlow } from "./chain.ts";
import { CRITICAL } from "./equation-of-state.ts";
import { chainOf, manifoldPa, type Sizing } from "./sizing.ts";

/** Flow, power and mixture of the full bottle at one pressure, absolute Pa; above some 912 psi gauge its liquid is pressed, not boiling. */
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
    const inlet = fullInlet(nitrous.bottle, bottlePa);
    const nitrousKgS = chainFlow(chain, inlet, manifoldPa(input)).massFlowKgS;
    return {
      bottlePa,
      temperatureK: inlet.state.temperatureK,
      nitrousKgS,
      addedW: addedPowerW(nitrousKgS, sizing.fuelKgS, fuel, nitrous.efficiency),
      chargeLambda: chargeLambda(nitrousKgS, sizing.fuelKgS, fuel),
      engineLambda: totalLambda(own, engine.lambda, nitrousKgS, sizing.fuelKgS, fuel),
    };
  });
}

/** One edge of the mixture: what the charge then is, and at which pressure, absolute Pa, of a full or of a partly emptied bottle. */
export interface MixtureEdge {
  readonly lambda: number;
  readonly nitrousKgS: number;
  readonly addedW: number;
  readonly bottlePa: number;
  readonly boiling: boolean;
}

/** Leanest and richest mixture over the window of the bottle, each at its edge of the flow. */
export interface MixtureRange {
  readonly lean: MixtureEdge;
  readonly rich: MixtureEdge;
}

/** The edges of mixture and power. Fuel does not follow the bottle. */
export function mixtureRange(input: PlanInput, sizing: Sizing): MixtureRange {
  const { bottle, window, edges, efficiency } = input.nitrous;
  const { fuel } = input.fuel;
  const chain = chainOf(input, sizing.bores, sizing.stages);
  const flows = placesOf(window).flatMap((bottlePa) =>
    inletsAt(bottle, bottlePa).map((inlet) => ({
      bottlePa,
      boiling: inlet.vapourPa >= bottlePa * 0.9999,
      kgS: chainFlow(chain, inlet, manifoldPa(input)).massFlowKgS,
    })),
  );
  const edge = ({ bottlePa, boiling, kgS }: (typeof flows)[number], factor: number): MixtureEdge => ({
    bottlePa,
    boiling,
    nitrousKgS: kgS * factor,
    lambda: chargeLambda(kgS * factor, sizing.fuelKgS, fuel),
    addedW: addedPowerW(kgS * factor, sizing.fuelKgS, fuel, efficiency),
  });
  const most = flows.reduce((a, b) => (b.kgS > a.kgS ? b : a));
  const least = flows.reduce((a, b) => (b.kgS < a.kgS ? b : a));
  return { lean: edge(most, 1 + edges.tolerance), rich: edge(least, 1 - edges.tolerance) };
}

/** Nitrous flow, kg/s, of the whole system at a bottle pressure, absolute Pa, from the rows. */
export const flowAtPressure = (rows: readonly MixtureRow[], bottlePa: number): number =>
  interpolateLine(
    rows.map((row) => [row.bottlePa, row.nitrousKgS]),
    bottlePa,
  );

/** Gauge pressure, psi, for words. */
export const gaugePsi = (pressurePa: number, airPa: number): number => toUnit(pressurePa - airPa, "psi");
