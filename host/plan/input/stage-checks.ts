/** Checks of what a car file says of stages: their parts, and what they are for. */
import type { PlanInput } from "./plan-input.ts";
import type { CarFile } from "./schema.ts";

/** Notes a contradiction at a key, with what to do. */
export type Report = (path: string, message: string, remedy: string) => void;

/** Parts in whole percent may miss 100 % by a rounding of each. */
const PARTS_APART = 0.02;

function partsCheck({ goal: { parts, stages } }: CarFile, report: Report): void {
  if (parts === undefined) return;
  const all = parts.reduce((sum, part) => sum + part, 0);
  if (Math.abs(all - 1) > PARTS_APART)
    report(
      "goal.parts",
      `the parts of the stages come to ${(100 * all).toFixed(0)} %`,
      "give each stage's part of the whole flow, together 100 %",
    );
  if (stages !== undefined && stages !== parts.length)
    report("goal.parts", `${parts.length} parts for ${stages} stages`, "give one part for each stage");
}

/** What stages are for must be possible, and be said of each. */
function purposeChecks({ goal }: CarFile, input: PlanInput, report: Report): void {
  const { purposes, parts, stages } = goal;
  if (goal["boost-off"] !== undefined && !purposes?.includes("boost"))
    report(
      "goal.boost-off",
      "no stage is for the boost",
      "name it in goal.purposes, or leave goal.boost-off out",
    );
  if (purposes === undefined) return;
  const count = parts?.length ?? stages ?? purposes.length;
  if (count !== purposes.length)
    report(
      "goal.purposes",
      `${purposes.length} purposes for ${count} stages`,
      "give one purpose for each stage",
    );
  if (purposes.includes("start") && input.control.pulsesPerM === undefined)
    report(
      "goal.purposes",
      "a stage for the start goes off at a road speed, which nothing measures",
      "set controls.road-pulses, or give the stage another purpose",
    );
  if (purposes.filter((purpose) => purpose === "boost").length > 1)
    report("goal.purposes", "more than one stage is for the boost", "bring the turbocharger up with one");
  if (purposes.includes("boost")) boostChecks(input, report);
}

/** A stage for the boost needs a turbocharger that passes the pressure where it goes off, and a sensor that reads it. */
function boostChecks({ engine, goal, control, air }: PlanInput, report: Report): void {
  if (engine.boostPa <= 0) {
    report(
      "goal.purposes",
      "a stage for the boost needs a turbocharger",
      "give engine.boost, or the stage another purpose",
    );
    return;
  }
  const offPa = goal.boostOffPa! - air.pressurePa;
  if (offPa <= 0 || offPa >= engine.boostPa)
    report(
      "goal.boost-off",
      "a stage for the boost would never go off, or never flow",
      "give a boost between zero and engine.boost",
    );
  if (control.manifoldReachPa! <= goal.boostOffPa!)
    report(
      "controls.manifold-sensor-reach",
      "the sensor does not read the boost at which the stage goes off",
      "fit a sensor that reaches further, or lower goal.boost-off",
    );
}

/** Parts and purposes of stages. */
export function stageChecks(file: CarFile, input: PlanInput, report: Report): void {
  partsCheck(file, report);
  purposeChecks(file, input, report);
}
