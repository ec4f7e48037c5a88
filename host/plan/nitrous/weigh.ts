/** Discharge coefficient of a jet from a bottle weighed before and after a timed discharge; the one cure for the flow models' spread. */
import { holeAreaM2 } from "./chain.ts";
import { blendedFlux, saturatedInlet } from "./flow.ts";
import { saturationTemperatureK } from "./saturation.ts";

/** What was weighed: absolute bottle pressures, Pa, at the start and at the end, masses, kg, open time, s, jet diameter, m. */
export interface Weighing {
  readonly startPa: number;
  readonly endPa: number;
  readonly massBeforeKg: number;
  readonly massAfterKg: number;
  readonly openS: number;
  readonly jetDiameterM: number;
  readonly backPa: number;
  /** Smallest step of the scale, kg, of the clock, s, and of the jet's drilled size, m. */
  readonly scaleStepKg: number;
  readonly clockStepS: number;
  readonly jetToleranceM: number;
}

/** Coefficient, its relative uncertainty from the steps alone (root of squares), and the mean flow, kg/s. */
export interface WeighingResult {
  readonly dischargeCoefficient: number;
  readonly relativeUncertainty: number;
  readonly massFlowKgS: number;
  readonly remarks: readonly string[];
}

/**
 * Evaluates a weighing by the blend at the mean of the fluxes at both ends.
 * Throws RangeError when the masses or the time make no sense, SaturationRangeError above the critical point.
 */
export function dischargeCoefficient(w: Weighing): WeighingResult {
  const lost = w.massBeforeKg - w.massAfterKg;
  if (!(lost > 0)) throw new RangeError("the bottle is not lighter after the discharge");
  if (!(w.openS > 0 && w.jetDiameterM > 0))
    throw new RangeError("open time and jet diameter must be above zero");
  const flux = (pressurePa: number) =>
    blendedFlux(saturatedInlet(saturationTemperatureK(pressurePa)), w.backPa);
  const meanFlux = (flux(w.startPa) + flux(w.endPa)) / 2;
  const massFlowKgS = lost / w.openS;
  const coefficient = massFlowKgS / (meanFlux * holeAreaM2(w.jetDiameterM));
  const parts = [
    (Math.SQRT2 * w.scaleStepKg) / lost,
    (Math.SQRT2 * w.clockStepS) / w.openS,
    (2 * w.jetToleranceM) / w.jetDiameterM,
  ];
  const relativeUncertainty = Math.hypot(...parts);
  const remarks: string[] = [];
  if (relativeUncertainty > 0.05)
    remarks.push("weigh a longer discharge: the steps alone leave more than 5 %");
  if (w.endPa < 0.85 * w.startPa)
    remarks.push("the pressure fell by more than 15 %: use a shorter discharge or more nitrous");
  if (coefficient < 0.4 || coefficient > 1) {
    remarks.push(
      "outside 0.4 to 1: check the jet size, that only liquid left the bottle, and what else narrows the line",
    );
  }
  return { dischargeCoefficient: coefficient, relativeUncertainty, massFlowKgS, remarks };
}
