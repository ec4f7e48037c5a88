/** Flow models against computed fluxes and measured flows; used by the tests and printed by the bench. */
import {
  blendedFlux,
  chokedEquilibriumFlux,
  compressedInlet,
  equilibriumChoke,
  equilibriumFlux,
  type Inlet,
  saturatedInlet,
  singlePhaseFlux,
  unchokedBlendFlux,
} from "#host/plan/nitrous/flow.ts";
import { csv, num } from "../reference.ts";

/** Inlet of a computed row. */
function inletOf(row: Record<string, string>): Inlet {
  const saturated = row.case!.startsWith("SAT");
  return saturated
    ? saturatedInlet(num(row, "T1_K"))
    : compressedInlet(num(row, "P1_kPa") * 1e3, num(row, "T1_K"));
}

/** Worst relative difference to the computed table, by model. */
export function worstAgainstComputed(): Record<string, number> {
  const worst: Record<string, number> = {};
  const note = (name: string, value: number, expected: number) => {
    worst[name] = Math.max(worst[name] ?? 0, Math.abs(value / expected - 1));
  };
  for (const row of csv("n2o-flow-models.csv")) {
    const inlet = inletOf(row);
    const back = num(row, "P2_kPa") * 1e3;
    note("single-phase", singlePhaseFlux(inlet, back), num(row, "G_SPI"));
    note("equilibrium", equilibriumFlux(inlet, back), num(row, "G_HEM"));
    note("choked maximum", equilibriumChoke(inlet).flux, num(row, "G_HEM_crit"));
    note("blend", unchokedBlendFlux(inlet, back), num(row, "G_NHNE"));
  }
  return worst;
}

/** Mean, mean absolute and largest relative error of a model against measured flows, and how far it says too little and too much. */
export interface Errors {
  readonly mean: number;
  readonly absolute: number;
  readonly worst: number;
  readonly between: readonly [number, number];
  readonly count: number;
}

/** Coefficient that the single-phase measurements give with this density, as the reference notes say; Waxman et al. state 0.77. */
export const MEASURED_COEFFICIENT = 0.773;

function errorsOf(ratios: readonly number[]): Errors {
  const errors = ratios.map((ratio) => ratio - 1);
  const mean = errors.reduce((a, b) => a + b, 0) / errors.length;
  const absolute = errors.reduce((a, b) => a + Math.abs(b), 0) / errors.length;
  const between = [Math.min(...errors), Math.max(...errors)] as const;
  return { mean, absolute, worst: Math.max(...errors.map(Math.abs)), between, count: errors.length };
}

interface Measured {
  readonly inlet: Inlet;
  readonly backPa: number;
  readonly flowKgS: number;
  readonly areaM2: number;
}

function measured(twoPhase: boolean): Measured[] {
  return csv("n2o-flow-experiments.csv")
    .filter((row) => row.P2_kPa !== "")
    .map((row) => ({
      inlet: compressedInlet(num(row, "P1_kPa") * 1e3, num(row, "T1_from_Pv_K")),
      backPa: num(row, "P2_kPa") * 1e3,
      flowKgS: num(row, "mdot_g_s") / 1e3,
      areaM2: (Math.PI / 4) * (num(row, "D_mm") / 1e3) ** 2,
    }))
    .filter((m) => m.backPa < m.inlet.vapourPa === twoPhase);
}

/** Errors of each model on the measured two-phase flows. */
export function errorsAgainstMeasured(): Record<"blend" | "equilibrium" | "single-phase", Errors> {
  const points = measured(true);
  const ratios = (flux: (m: Measured) => number) =>
    points.map((m) => (MEASURED_COEFFICIENT * m.areaM2 * flux(m)) / m.flowKgS);
  return {
    blend: errorsOf(ratios((m) => blendedFlux(m.inlet, m.backPa))),
    equilibrium: errorsOf(ratios((m) => chokedEquilibriumFlux(m.inlet, m.backPa))),
    "single-phase": errorsOf(ratios((m) => singlePhaseFlux(m.inlet, m.backPa))),
  };
}

/** Discharge coefficients of the measured single-phase flows. */
export const measuredCoefficients = (): number[] =>
  measured(false).map((m) => m.flowKgS / (m.areaM2 * singlePhaseFlux(m.inlet, m.backPa)));
