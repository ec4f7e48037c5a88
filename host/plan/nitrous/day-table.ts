/** The day's bottle: at each pressure of its window, the nitrous jets that keep the planned power, fuel jets unchanged. */
import { PSI_PA } from "#host/units/constants.ts";
import { addedPowerW, chargeLambda } from "../engine/power.ts";
import type { PlanInput } from "../input/plan-input.ts";
import { fullInlet } from "./bottle-window.ts";
import { chainFlow, lastAreaM2 } from "./chain.ts";
import { roundedJets } from "./jets.ts";
import { chainOf, manifoldPa, type Sizing, upstream } from "./sizing.ts";

/** One pressure, absolute Pa: jets of each stage, m, and what they then give. */
export interface Day {
  readonly bottlePa: number;
  readonly nitrousJetsM: readonly number[];
  readonly addedW: number;
  readonly chargeLambda: number;
}

const STEP_PA = 50 * PSI_PA;

/** Working pressure and every 50 psi from it inside the window. */
function pressures({ nitrous }: PlanInput): number[] {
  const { bottlePa, window } = nitrous;
  const below = Math.floor((bottlePa - window.lowestPa) / STEP_PA + 1e-6);
  const above = Math.floor((window.highestPa - bottlePa) / STEP_PA + 1e-6);
  return Array.from({ length: below + above + 1 }, (_, i) => bottlePa + (i - below) * STEP_PA);
}

/** The table, rising; pressures at which the parts before the jets cannot pass the flow are left out. */
export function dayTable(input: PlanInput, sizing: Sizing): Day[] {
  const { bottle, coefficient, jetsM, efficiency, bottlePa } = input.nitrous;
  const { fuel } = input.fuel;
  const before = upstream(input, sizing.bores);
  return pressures(input).flatMap((pressurePa) => {
    const inlet = fullInlet(bottle, pressurePa);
    const area = lastAreaM2(before, inlet, manifoldPa(input), sizing.nitrousKgS, coefficient);
    if (area === undefined) return [];
    const wanted = sizing.stages.map(({ part }) => part * area);
    const jets = roundedJets(wanted, sizing.stages[0]!.nozzles, jetsM, "nearest");
    const planned = Math.abs(pressurePa - bottlePa) < 1;
    const stages = planned
      ? sizing.stages
      : sizing.stages.map((stage, i) => ({ ...stage, nitrousJetM: jets[i]! }));
    const kgS = chainFlow(chainOf(input, sizing.bores, stages), inlet, manifoldPa(input)).massFlowKgS;
    return [
      {
        bottlePa: pressurePa,
        nitrousJetsM: stages.map((stage) => stage.nitrousJetM),
        addedW: addedPowerW(kgS, sizing.fuelKgS, fuel, efficiency),
        chargeLambda: chargeLambda(kgS, sizing.fuelKgS, fuel),
      },
    ];
  });
}
