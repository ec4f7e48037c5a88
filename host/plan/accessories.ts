/** The numbers of the accessories: how long a press of the purge, where the heater switches, where a fuel-pressure switch opens. */
import { PSI_PA } from "#host/units/constants.ts";
import { toUnit } from "#host/units/format.ts";
import type { PlanInput, Switched } from "./input/plan-input.ts";
import { BOTTLE_HYSTERESIS_PA, type BottleWindow, fullInlet } from "./nitrous/bottle-window.ts";
import { holeAreaM2 } from "./nitrous/chain.ts";
import { blendedFlux } from "./nitrous/flow.ts";
import type { Sizing } from "./nitrous/sizing.ts";

/** Pressures are absolute, Pa, but the fuel's, which counts from the manifold at full throttle. */
export interface Accessories {
  readonly purge: { readonly lineM3: number; readonly kgS: number; readonly pressS: number };
  readonly heater: { readonly powerW: number; readonly onPa: number; readonly offPa: number };
  /** What the controller switches of them. */
  readonly onController: readonly Switched[];
  /** A fuel-pressure switch opens below this. */
  readonly fuelSwitchPa: number;
}

const PURGE_COEFFICIENT = 0.75;
/** A line is full of liquid after it has been filled this often: the first liquid boils in the warm line (judgement). */
const FILLINGS = 1.5;
/** The heater stops at the working pressure, but this far below the top of the window at least (the settings ask for it). */
const UNDER_TOP_PA = 1e5;
const HEATER_GAP_PA = 25 * PSI_PA;
/** The settings ask for so much between heater on and off at least. */
const LEAST_GAP_PA = 5e4;
/** A fuel-pressure switch should open at this share of the working pressure (common practice, no source). */
const FUEL_SHARE = 0.9;

/** Where the heater switches: it starts no lower than where BOTTLE-LOW lets flow begin again, or the bottle would stay shut half warm. */
function heaterAt(bottlePa: number, { lowestPa, highestPa }: BottleWindow): { onPa: number; offPa: number } {
  const offPa = Math.min(bottlePa, highestPa - UNDER_TOP_PA);
  const onPa = Math.max(offPa - HEATER_GAP_PA, lowestPa + BOTTLE_HYSTERESIS_PA);
  return { onPa: Math.min(onPa, offPa - LEAST_GAP_PA), offPa };
}

/** Where a fuel-pressure switch opens: with a tenth where a carburettor has only a few psi, and against boost where there is any. */
export function fuelSwitchText(fuelSwitchPa: number, boostPa: number): string {
  const psi = toUnit(fuelSwitchPa, "psi");
  return `${psi.toFixed(psi < 20 ? 1 : 0)} psi ${boostPa > 0 ? "above manifold pressure" : "gauge"}`;
}

/** All of them, for the line and the bottle of a plan. */
export function accessoriesOf(input: PlanInput, { bores }: Sizing): Accessories {
  const { bottle, bottlePa, window, lineLengthM, purgeBoreM } = input.nitrous;
  const inlet = fullInlet(bottle, bottlePa);
  const lineM3 = holeAreaM2(bores.lineM) * lineLengthM;
  const kgS = PURGE_COEFFICIENT * holeAreaM2(purgeBoreM) * blendedFlux(inlet, input.air.pressurePa);
  return {
    purge: { lineM3, kgS, pressS: (FILLINGS * lineM3 * inlet.state.densityKgM3) / kgS },
    heater: { powerW: bottle.heaterW, ...heaterAt(bottlePa, window) },
    onController: input.control.switches,
    fuelSwitchPa: FUEL_SHARE * (input.fuel.gaugePa - input.engine.boostPa),
  };
}
