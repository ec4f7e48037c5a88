/** Mixture and power over bottle pressure, jets and fuel pressure unchanged: low pressure rich, high pressure lean. */

import { interpolateLine } from "#host/car/torque-curve.ts";
import { toUnit } from "#host/units/format.ts";
import { siteFuelKgS } from "../engine/own-power.ts";
import { addedPowerW, chargeLambda, totalLambda } from "../engine/power.ts";
import type { PlanInput } from "../input/plan-input.ts";
import { fullInlet, inletsAt, placesOf } from "./bottle-window.ts";
import { chainFlow } from "./chain.ts";
import { CRITICAL } from "./equation-of-state.ts";
import { chainOf, manifoldPa, type Sizing, stageFuel } from "./sizing.ts";

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
  const own = siteFuelKgS(input);
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

/** One edge of the mixture: lambda of the charge, at which pressure, absolute Pa, of a full or a partly emptied bottle, and with how many stages. */
export interface MixtureEdge {
  readonly lambda: number;
  readonly bottlePa: number;
  readonly boiling: boolean;
  readonly stages: number;
}

/**
 * Leanest and richest mixture over the window of the bottle, and the power of all stages, W, each at its edge of the flow. `high`: the
 * most that the first stages, however many, add at the upper edge, against what they add as planned: alone a stage gets more.
 */
export interface MixtureRange {
  readonly high: number;
  readonly lean: MixtureEdge;
  readonly rich: MixtureEdge;
  readonly addedW: readonly [low: number, high: number];
}

interface Place extends MixtureEdge {
  readonly kgS: number;
}

/** Lambda and flow of the first stages of a system at every inlet of the window; the fewer flow, the less the line takes. */
function placesWith(input: PlanInput, sizing: Sizing, stages: number): Place[] {
  const { bottle, window } = input.nitrous;
  const used = sizing.stages.slice(0, stages);
  const chain = chainOf(input, sizing.bores, used);
  const fuelKgS = stageFuel(input, sizing, used);
  return placesOf(window).flatMap((bottlePa) =>
    inletsAt(bottle, bottlePa).map((inlet) => {
      const kgS = chainFlow(chain, inlet, manifoldPa(input)).massFlowKgS;
      const lambda = chargeLambda(kgS, fuelKgS, input.fuel.fuel);
      return { kgS, lambda, bottlePa, boiling: inlet.vapourPa >= bottlePa * 0.9999, stages };
    }),
  );
}

/** The edges of mixture and power. Fuel does not follow the bottle. */
export function mixtureRange(input: PlanInput, sizing: Sizing): MixtureRange {
  const { edges, efficiency } = input.nitrous;
  const counts = sizing.stages.map((_, i) => i + 1);
  const every = counts.map((count) => placesWith(input, sizing, count));
  const tried = every.flat();
  const edge = ({ kgS: _, ...place }: Place, factor: number): MixtureEdge => {
    return { ...place, lambda: place.lambda * factor };
  };
  const lean = tried.reduce((a, b) => (b.lambda > a.lambda ? b : a));
  const rich = tried.reduce((a, b) => (b.lambda < a.lambda ? b : a));
  const [less, more] = [1 - edges.tolerance, 1 + edges.tolerance];
  const most = every.map((places, i) => {
    const used = sizing.stages.slice(0, i + 1);
    const part = used.reduce((sum, stage) => sum + stage.part, 0);
    const kgS = Math.max(...places.map((place) => place.kgS)) * more;
    const fuelKgS = stageFuel(input, sizing, used);
    return addedPowerW(kgS, fuelKgS, input.fuel.fuel, efficiency) / (sizing.addedW * part);
  });
  const flows = every.at(-1)!.map(({ kgS }) => kgS);
  const power = (kgS: number) => addedPowerW(kgS, sizing.fuelKgS, input.fuel.fuel, efficiency);
  return {
    high: Math.max(...most),
    lean: edge(lean, more),
    rich: edge(rich, less),
    addedW: [power(Math.min(...flows) * less), power(Math.max(...flows) * more)],
  };
}

/** Nitrous flow, kg/s, of the whole system at a bottle pressure, absolute Pa, from the rows. */
export const flowAtPressure = (rows: readonly MixtureRow[], bottlePa: number): number =>
  interpolateLine(
    rows.map((row) => [row.bottlePa, row.nitrousKgS]),
    bottlePa,
  );

/** Gauge pressure, psi, for words. */
export const gaugePsi = (pressurePa: number, airPa: number): number => toUnit(pressurePa - airPa, "psi");
