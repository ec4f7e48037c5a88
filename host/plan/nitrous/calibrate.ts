/** Calibrates a jet: its discharge coefficient from a bottle weighed before and after a timed discharge, which replaces the flow models' spread. */
import { isAbove, isBelow } from "#host/units/compare.ts";
import type { Bottle } from "./bottle.ts";
import { inletsAt } from "./bottle-window.ts";
import { chainFlow, holeAreaM2, type Restriction } from "./chain.ts";
import { saturatedInlet } from "./flow.ts";
import { fallingRoot } from "./root.ts";
import { saturationTemperatureK } from "./saturation.ts";

/**
 * Measurements of a discharge: absolute bottle pressures, Pa, at the start and at the end, masses, kg, open time, s, diameter of the
 * stage's jets, m, and their number. `upstream`: the parts before the jets, as the plan has them; what they lose is not the jet's.
 */
export interface DischargeMeasurement {
  readonly startPa: number;
  readonly endPa: number;
  readonly massBeforeKg: number;
  readonly massAfterKg: number;
  readonly openS: number;
  readonly jetDiameterM: number;
  readonly nozzles: number;
  readonly upstream: readonly Restriction[];
  readonly bottle: Bottle;
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

/** More than a jet can pass; the coefficient is looked for below it, to this part. */
const MOST_COEFFICIENT = 3;
const FOUND_TO = 1e-6;

/** Mean flow, kg/s, of the start and the end of a discharge of boiling liquid, with a coefficient of the jets. */
function meanFlow(w: DischargeMeasurement, dischargeCoefficient: number): number {
  const areaM2 = w.nozzles * holeAreaM2(w.jetDiameterM);
  const parts = [...w.upstream, { name: "jets", areaM2, dischargeCoefficient }];
  const flow = (pressurePa: number) =>
    chainFlow(parts, saturatedInlet(saturationTemperatureK(pressurePa)), w.backPa).massFlowKgS;
  return (flow(w.startPa) + flow(w.endPa)) / 2;
}

/** Coefficient with which the chain passes a flow, kg/s. Throws RangeError when the parts before the jets cannot pass it. */
function coefficientFor(w: DischargeMeasurement, massFlowKgS: number): number {
  if (meanFlow(w, MOST_COEFFICIENT) < massFlowKgS)
    throw new RangeError(
      "valve, line and solenoid, as the plan has them, cannot pass the flow that was weighed: check --jet, --stage and --open, and give nitrous.valve-bore, line-bore and solenoid-bore as they are fitted",
    );
  return fallingRoot((c) => massFlowKgS - meanFlow(w, c), FOUND_TO, MOST_COEFFICIENT, FOUND_TO);
}

function remarksOn(w: DischargeMeasurement, coefficient: number, relativeUncertainty: number): string[] {
  const remarks: string[] = [];
  if (isAbove(relativeUncertainty, 0.05))
    remarks.push("repeat with a longer discharge: the resolution alone leaves an uncertainty above 5 %");
  if (isAbove(w.endPa, w.startPa))
    remarks.push(
      "the pressure rose during the discharge, which only a heater does: check --start and --end, and switch the heater off",
    );
  if (isBelow(w.endPa, 0.85 * w.startPa))
    remarks.push("the pressure fell by more than 15 %: use a shorter discharge or more nitrous");
  if (isBelow(coefficient, 0.4) || isAbove(coefficient, 1)) {
    remarks.push(
      "outside 0.4 to 1: check the jet size, check that only liquid left the bottle, and look for another restriction in the line",
    );
  }
  if (inletsAt(w.bottle, w.startPa).length > 1)
    remarks.push(
      "at that pressure a full bottle is full of pressed liquid, which flows more than the boiling liquid that is assumed here: repeat at 850 to 900 psi",
    );
  return remarks;
}

/**
 * Evaluates a discharge of boiling liquid through the plan's own parts by the blend model, at the mean of the flows at its start and end.
 * Throws RangeError when masses, time or resolutions are impossible, SaturationRangeError for pressures beyond the boiling line.
 */
export function calibrateJet(w: DischargeMeasurement): JetCalibration {
  const lost = w.massBeforeKg - w.massAfterKg;
  if (!(lost > 0)) throw new RangeError("the bottle is not lighter after the discharge");
  if (!(w.openS > 0 && w.jetDiameterM > 0))
    throw new RangeError("open time and jet diameter must be above zero");
  if (!(w.scaleStepKg >= 0 && w.clockStepS >= 0 && w.jetToleranceM >= 0))
    throw new RangeError("resolutions and the jet's tolerance must not be below zero");
  const massFlowKgS = lost / w.openS;
  const dischargeCoefficient = coefficientFor(w, massFlowKgS);
  const parts = [
    (Math.SQRT2 * w.scaleStepKg) / lost,
    (Math.SQRT2 * w.clockStepS) / w.openS,
    (2 * w.jetToleranceM) / w.jetDiameterM,
  ];
  const relativeUncertainty = Math.hypot(...parts);
  const remarks = remarksOn(w, dischargeCoefficient, relativeUncertainty);
  return { dischargeCoefficient, relativeUncertainty, massFlowKgS, remarks };
}
