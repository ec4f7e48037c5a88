/**
 * The bottle as a closed vessel in equilibrium: liquid that leaves is replaced by vapour boiling off, which cools the rest.
 * Heat from the metal during a run is left out, so that a real bottle stays a little warmer than computed.
 */
import { isBelow } from "#host/units/compare.ts";
import {
  internalEnergyJKg,
  type VesselContent,
  vesselAt,
  vesselAtEnergy,
  vesselAtPressure,
} from "./states.ts";

/** Legal filling density: 68 % of the water capacity by weight (49 CFR 173.304a(a)(2), as restated publicly), kg/m3. */
export const FILL_LIMIT_KG_M3 = 680;
/** Hottest a bottle may get, K (52 C; CGA G-8.1 as quoted by a cylinder maker). */
export const HOTTEST_K = 325.15;
const ALUMINIUM_J_KG_K = 897;

/** A bottle: inner volume, m3, filled mass, kg, mass of the metal, kg, heater power, W. */
export interface Bottle {
  readonly volumeM3: number;
  readonly chargeKg: number;
  readonly metalKg: number;
  readonly heaterW: number;
}

/** The bottle at one moment of a discharge. */
export interface BottleSample {
  readonly timeS: number;
  readonly massKg: number;
  readonly pressurePa: number;
  readonly temperatureK: number;
  readonly flowKgS: number;
  readonly liquidShare: number;
}

/** A discharge: its samples, and whether only vapour was left before its end. */
export interface Discharge {
  readonly samples: readonly BottleSample[];
  readonly usedKg: number;
  readonly ranDry: boolean;
}

const STEP_S = 0.1;
/** A dip tube draws vapour from here on: liquid share of what the bottle was filled with. */
const UNUSABLE_SHARE = 0.06;

/**
 * Empties a bottle from a content for a time, s. `flowKgS` gives the flow at a time, s, and bottle pressure, absolute Pa.
 * Stops early when the liquid left is too little for the dip tube.
 */
export function discharge(
  bottle: Bottle,
  from: { massKg: number; content: VesselContent },
  forS: number,
  flowKgS: (timeS: number, pressurePa: number) => number,
): Discharge {
  let { massKg, content } = from;
  let energy = massKg * internalEnergyJKg(content.state);
  const samples: BottleSample[] = [];
  for (let k = 0; ; k++) {
    const timeS = k * STEP_S;
    const { pressurePa, temperatureK } = content.state;
    const dry = content.liquidShare * massKg < UNUSABLE_SHARE * bottle.chargeKg;
    const flow = dry ? 0 : flowKgS(timeS, pressurePa);
    samples.push({
      timeS,
      massKg,
      pressurePa,
      temperatureK,
      flowKgS: flow,
      liquidShare: content.liquidShare,
    });
    if (dry || timeS >= forS) return { samples, usedKg: from.massKg - massKg, ranDry: dry };
    const lost = flow * STEP_S;
    energy -= lost * content.drawn.enthalpyJKg;
    massKg -= lost;
    if (lost > 0) content = vesselAtEnergy(massKg / bottle.volumeM3, energy / massKg, temperatureK);
  }
}

/** Content at an absolute pressure, Pa, for a mass, kg. */
export const contentAt = (bottle: Bottle, massKg: number, pressurePa: number): VesselContent =>
  vesselAtPressure(massKg / bottle.volumeM3, pressurePa);

/** Time, s, that the heater needs from one content of a mass, kg, to another, metal included; no losses counted. */
export function heatingS(bottle: Bottle, massKg: number, from: VesselContent, to: VesselContent): number {
  const gas = massKg * (internalEnergyJKg(to.state) - internalEnergyJKg(from.state));
  const metal = bottle.metalKg * ALUMINIUM_J_KG_K * (to.state.temperatureK - from.state.temperatureK);
  return Math.max(0, gas + metal) / bottle.heaterW;
}

/** The same back to a pressure, absolute Pa. */
export const heaterTimeS = (
  bottle: Bottle,
  massKg: number,
  content: VesselContent,
  pressurePa: number,
): number => heatingS(bottle, massKg, content, contentAt(bottle, massKg, pressurePa));

/** One run of a fill. */
export interface FillRun {
  readonly usedKg: number;
  readonly startPa: number;
  readonly endPa: number;
  readonly heaterS: number;
}

/** Runs until one would run dry or end under `lowestPa`; each starts heated back to `startPa` (absolute). At most 40. */
export function runsOfAFill(
  bottle: Bottle,
  startPa: number,
  lowestPa: number,
  runS: number,
  flowKgS: (timeS: number, pressurePa: number) => number,
): FillRun[] {
  const runs: FillRun[] = [];
  let massKg = bottle.chargeKg;
  while (runs.length < 40 && massKg > 0.1 * bottle.chargeKg) {
    const result = discharge(bottle, { massKg, content: contentAt(bottle, massKg, startPa) }, runS, flowKgS);
    const end = result.samples.at(-1)!;
    if (result.ranDry || isBelow(end.pressurePa, lowestPa) || result.usedKg <= 0) break;
    massKg = end.massKg;
    const content = vesselAt(massKg / bottle.volumeM3, end.temperatureK);
    const heaterS = heaterTimeS(bottle, massKg, content, startPa);
    runs.push({ usedKg: result.usedKg, startPa, endPa: end.pressurePa, heaterS });
  }
  return runs;
}

/** Pressure, absolute Pa, of a mass, kg, after a soak at a temperature, K, and whether the bottle is then single-phase. */
export function soakedPressure(
  bottle: Bottle,
  massKg: number,
  temperatureK: number,
): { pressurePa: number; singlePhase: boolean } {
  const { state, singlePhase } = vesselAt(massKg / bottle.volumeM3, temperatureK);
  return { pressurePa: state.pressurePa, singlePhase };
}
