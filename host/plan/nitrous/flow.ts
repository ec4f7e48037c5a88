/**
 * Mass flux of nitrous oxide through a restriction, kg/(m2 s), discharge coefficient not applied; absolute pressures, Pa.
 * The single-phase and homogeneous-equilibrium models bracket the true flow of a liquid near boiling; their blend is the default:
 * J. Dyer et al., AIAA 2007-5702, with the weights as corrected by B. J. Solomon, Utah State University report 110 (2011).
 * Choking is the blend's own maximum: capping its equilibrium part alone fits the measured flows worse (docs/plan-physics.md).
 */
import type { FluidState } from "./equation-of-state.ts";
import { boilingTemperatureK, saturationAt, saturationTemperatureK } from "./saturation.ts";
import { compressedLiquid, mixture } from "./states.ts";

/** Which model of the flow to use. */
export type FlowModel = "single-phase" | "equilibrium" | "blend";

/** State at the inlet of a restriction; `vapourPa` is the vapour pressure at its temperature. */
export interface Inlet {
  readonly state: FluidState;
  readonly vapourPa: number;
}

/** The largest flux of a model and the pressure behind the restriction at which it is reached. */
export interface ChokePoint {
  readonly flux: number;
  readonly pressurePa: number;
}

const GOLDEN = (Math.sqrt(5) - 1) / 2;
/** Lowest outlet temperature searched, K: 0.104 MPa, about the surrounding air. */
const COLDEST_K = 185;

/** Saturated liquid at a bottle temperature, K, below critical. */
export function saturatedInlet(temperatureK: number): Inlet {
  const { liquid } = saturationAt(temperatureK);
  return { state: liquid, vapourPa: liquid.pressurePa };
}

/** Liquid at a pressure, Pa, above its vapour pressure, at a temperature, K. */
export function compressedInlet(pressurePa: number, temperatureK: number): Inlet {
  return {
    state: compressedLiquid(pressurePa, temperatureK),
    vapourPa: saturationAt(temperatureK).pressurePa,
  };
}

/** Incompressible flux: square root of twice density times pressure drop; zero against a higher back pressure. */
export function singlePhaseFlux(inlet: Inlet, backPa: number): number {
  return Math.sqrt(2 * inlet.state.densityKgM3 * Math.max(0, inlet.state.pressurePa - backPa));
}

function expandedFlux(inlet: Inlet, temperatureK: number): number {
  const sat = saturationAt(temperatureK);
  const { liquid, vapour } = sat;
  const quality = (inlet.state.entropyJKgK - liquid.entropyJKgK) / (vapour.entropyJKgK - liquid.entropyJKgK);
  const out = mixture(sat, Math.max(0, quality));
  return out.densityKgM3 * Math.sqrt(2 * Math.max(0, inlet.state.enthalpyJKg - out.enthalpyJKg));
}

/** Flux of an isentropic expansion in equilibrium down to exactly `backPa`, not capped at its maximum. */
export function equilibriumFlux(inlet: Inlet, backPa: number): number {
  if (backPa >= inlet.state.pressurePa) return 0;
  const boiling = saturationAt(boilingStartK(inlet)).liquid;
  if (backPa >= boiling.pressurePa) return expandingLiquidFlux(inlet.state, boiling, backPa);
  return expandedFlux(inlet, saturationTemperatureK(backPa));
}

/** Liquid that stays liquid: its density taken linear in pressure between the inlet and the point where it boils. */
function expandingLiquidFlux(from: FluidState, boiling: FluidState, backPa: number): number {
  const reached = (from.pressurePa - backPa) / (from.pressurePa - boiling.pressurePa);
  const density = from.densityKgM3 + reached * (boiling.densityKgM3 - from.densityKgM3);
  const meanDensity = (from.densityKgM3 + density) / 2;
  return density * Math.sqrt((2 * (from.pressurePa - backPa)) / meanDensity);
}

const starts = new WeakMap<Inlet, number>();

/** Temperature, K, at which an isentropic expansion begins to boil; asked for at every back pressure, found once for each inlet. */
function boilingStartK(inlet: Inlet): number {
  const known = starts.get(inlet) ?? findBoilingStartK(inlet);
  starts.set(inlet, known);
  return known;
}

function findBoilingStartK(inlet: Inlet): number {
  const entropy = inlet.state.entropyJKgK;
  const { temperatureK } = inlet.state;
  const boils =
    inlet.state.pressurePa > inlet.vapourPa || entropy < saturationAt(temperatureK).liquid.entropyJKgK;
  return boils ? Math.min(temperatureK, boilingTemperatureK(entropy)) : temperatureK;
}

/** Largest flux over all back pressures that make the liquid boil, by golden section to 0.01 K of outlet temperature. */
function largestFlux(inlet: Inlet, flux: (temperatureK: number) => number): ChokePoint {
  let [low, high] = [COLDEST_K, boilingStartK(inlet)];
  let [c, d] = [high - GOLDEN * (high - low), low + GOLDEN * (high - low)];
  let [fc, fd] = [flux(c), flux(d)];
  while (high - low > 0.01) {
    if (fc > fd) {
      [high, d, fd] = [d, c, fc];
      c = high - GOLDEN * (high - low);
      fc = flux(c);
    } else {
      [low, c, fc] = [c, d, fd];
      d = low + GOLDEN * (high - low);
      fd = flux(d);
    }
  }
  const temperatureK = (low + high) / 2;
  return { flux: flux(temperatureK), pressurePa: saturationAt(temperatureK).pressurePa };
}

/** The choked maximum of the equilibrium flux. */
export const equilibriumChoke = (inlet: Inlet): ChokePoint =>
  largestFlux(inlet, (t) => expandedFlux(inlet, t));

/** Equilibrium flux with choking: below the choke pressure it stays at its maximum. */
export function chokedEquilibriumFlux(inlet: Inlet, backPa: number, choke = equilibriumChoke(inlet)): number {
  return backPa <= choke.pressurePa ? choke.flux : equilibriumFlux(inlet, backPa);
}

function blend(inlet: Inlet, backPa: number, equilibrium: number): number {
  const k = Math.sqrt((inlet.state.pressurePa - backPa) / (inlet.vapourPa - backPa));
  return Number.isFinite(k)
    ? (k * singlePhaseFlux(inlet, backPa) + equilibrium) / (1 + k)
    : singlePhaseFlux(inlet, backPa);
}

/** Blend by k = sqrt((p1 - p2) / (pv - p2)) down to exactly `backPa`; single-phase while that is above the vapour pressure. */
export function unchokedBlendFlux(inlet: Inlet, backPa: number): number {
  if (backPa >= inlet.vapourPa || backPa >= inlet.state.pressurePa) return singlePhaseFlux(inlet, backPa);
  return blend(inlet, backPa, equilibriumFlux(inlet, backPa));
}

/** The choked maximum of the blend. */
export const blendChoke = (inlet: Inlet): ChokePoint =>
  largestFlux(inlet, (t) => blend(inlet, saturationAt(t).pressurePa, expandedFlux(inlet, t)));

/** The default: the blend, held at its own maximum below the pressure where it is reached. */
export function blendedFlux(inlet: Inlet, backPa: number, choke?: ChokePoint): number {
  if (backPa >= inlet.vapourPa) return singlePhaseFlux(inlet, backPa);
  const most = choke ?? blendChoke(inlet);
  return backPa <= most.pressurePa ? most.flux : unchokedBlendFlux(inlet, backPa);
}

/** Flux by the named model, with choking where the model has it. */
export function massFlux(model: FlowModel, inlet: Inlet, backPa: number): number {
  if (model === "single-phase") return singlePhaseFlux(inlet, backPa);
  if (model === "equilibrium") return chokedEquilibriumFlux(inlet, backPa);
  return blendedFlux(inlet, backPa);
}
