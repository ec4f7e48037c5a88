/** Calibrates a jet: its discharge coefficient from a bottle weighed before and after a timed discharge, which replaces the flow models' spread. */
import { isAbove, isBelow } from "#host/units/compare.ts";
import { holeAreaM2 } from "./chain.ts";
import { blendedFlux, saturatedInlet } from "./flow.ts";
import { saturationTemperatureK } from "./saturation.ts";

/** Measurements of a discharge: absolute bottle pressures, Pa, at the start and at the end, masses, kg, open time, s, jet diameter, m. */
export interface DischargeMeasurement {
  readonly startPa: number;
  readonly endPa: number;
  readonly massBeforeKg: number;
  readonly massAfterKg: number;
  readonly openS: number;
  readonly jetDiameterM: number;
  readonly backPa: number;
  /** Resolution of the scale, kg, of the clock, s, and tolerance of the jet's drilled size, m. */
  readonly scaleStepKg: number;
  readonly clockStepS: number;
  readonly jetToleranceM: number;
}

/** Coefficient, its relative uncertainty from resolution and tolerance alone (root of squares), and the mean flow, kg/s. */
export interface JetCalibration {
  readonly dischargeCoefficient: number;
  readonly relativeUncertainty: number;
  readonly massFlowKgS: number;
  readonly remarks: readonly string[];
}

/**
 * Evaluates a discharge by the blend model at the mean of the fluxes at its start and end.
 * Throws RangeError when masses or time are impossible, SaturationRangeError above the critical point.
 */
export function calibrateJet(w: DischargeMeasurement): JetCalibration {
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
  if (isAbove(relativeUncertainty, 0.05))
    remarks.push("repeat with a longer discharge: the resolution alone leaves an uncertainty above 5 %");
  if (isBelow(w.endPa, 0.85 * w.startPa))
    remarks.push("the pressure fell by more than 15 %: use a shorter discharge or more nitrous");
  if (isBelow(coefficient, 0.4) || isAbove(coefficient, 1)) {
    remarks.push(
      "outside 0.4 to 1: check the jet size, check that only liquid left the bottle, and look for another restriction in the line",
    );
  }
  return { dischargeCoefficient: coefficient, relativeUncertainty, massFlowKgS, remarks };
}
