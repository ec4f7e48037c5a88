/**
 * Mass flux of nitrous oxide through a restriction, kg/(m2 s), discharge coefficient not applied; absolute pressures, Pa.
 * Single-phase and homogeneous equilibrium bracket the truth for a liquid near boiling; their blend is the default:
 * J. Dyer et al., AIAA 2007-5702, with the weights as corrected by B. J. Solomon, Utah State University report 110 (2011).
 */
import type { FluidState } from "./n2o-equation.ts";
import { boilingTemperatureK, saturationAt, saturationTemperatureK } from "./n2o-saturation.ts";
import { compressedLiquid, mixture } from "./n2o-states.ts";

/** Which model of the flow to use. */
export type FlowModel = "single-phase" | "equilibrium" | "blend";

/** What enters a restriction; `vapourPa` is the vapour pressure at its temperature. */
export interface Inlet {
  readonly state: FluidState;
  readonly vapourPa: number;
}

/** The largest equilibrium flux and the pressure behind the restriction at which it is reached. */
export interface ChokePoint {
  readonly flux: number;
  readonly pressurePa: number;
}

const GOLDEN = (Math.sqrt(5) - 1) / 2;

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

function boilingStartK(inlet: Inlet): number {
  const entropy = inlet.state.entropyJKgK;
  const { temperatureK } = inlet.state;
  const boils =
    inlet.state.pressurePa > inlet.vapourPa || entropy < saturationAt(temperatureK).liquid.entropyJKgK;
  return boils ? Math.min(temperatureK, boilingTemperatureK(entropy)) : temperatureK;
}

/** The choked maximum of the equilibrium flux over all back pressures (golden section to 0.01 K). */
export function chokePoint(inlet: Inlet): ChokePoint {
  let [low, high] = [185, boilingStartK(inlet)];
  let [c, d] = [high - GOLDEN * (high - low), low + GOLDEN * (high - low)];
  let [fc, fd] = [expandedFlux(inlet, c), expandedFlux(inlet, d)];
  while (high - low > 0.01) {
    if (fc > fd) {
      [high, d, fd] = [d, c, fc];
      c = high - GOLDEN * (high - low);
      fc = expandedFlux(inlet, c);
    } else {
      [low, c, fc] = [c, d, fd];
      d = low + GOLDEN * (high - low);
      fd = expandedFlux(inlet, d);
    }
  }
  const temperatureK = (low + high) / 2;
  return { flux: expandedFlux(inlet, temperatureK), pressurePa: saturationAt(temperatureK).pressurePa };
}

/** Equilibrium flux with choking: below the choke pressure it stays at its maximum. */
export function chokedEquilibriumFlux(inlet: Inlet, backPa: number, choke = chokePoint(inlet)): number {
  return backPa <= choke.pressurePa ? choke.flux : equilibriumFlux(inlet, backPa);
}

/** Blend by k = sqrt((p1 - p2) / (pv - p2)); single-phase while the back pressure is above the vapour pressure. */
export function blendedFlux(inlet: Inlet, backPa: number, choke?: ChokePoint): number {
  const single = singlePhaseFlux(inlet, backPa);
  if (backPa >= inlet.vapourPa || single === 0) return single;
  const k = Math.sqrt((inlet.state.pressurePa - backPa) / (inlet.vapourPa - backPa));
  return (k * single + chokedEquilibriumFlux(inlet, backPa, choke)) / (1 + k);
}

/** Flux by the named model, with choking where the model has it. */
export function massFlux(model: FlowModel, inlet: Inlet, backPa: number, choke?: ChokePoint): number {
  if (model === "single-phase") return singlePhaseFlux(inlet, backPa);
  if (model === "equilibrium") return chokedEquilibriumFlux(inlet, backPa, choke);
  return blendedFlux(inlet, backPa, choke);
}
