// The kinds of systems that were not chosen, with what each would ask of this car.
import { leanestLambda, MOST_INJECTOR_PA, raisedPressurePa, SPREADS } from "#host/plan/engine/kinds.ts";
import type { SystemPlan } from "#host/plan/system-plan.ts";
import { toUnit } from "#host/units/format.ts";
import { type PlanSection, percentOf } from "./section.ts";

const psi = (pascal: number): string => `${toUnit(pascal, "psi").toFixed(0)} psi`;

/** What raising the fuel pressure would take. */
function raisedWords(
  { ownFuelKgS, fuelPa, boostPa, carburettor }: SystemPlan["kinds"],
  addedKgS: number,
): string {
  if (carburettor)
    return "Dry by raised fuel pressure: not with a carburettor, whose jets draw from a bowl; more pressure only floods it.";
  const raised = raisedPressurePa(fuelPa, boostPa, ownFuelKgS, addedKgS);
  const bears =
    raised > MOST_INJECTOR_PA
      ? `more than the ${psi(MOST_INJECTOR_PA)} against which injectors may fail to open (common practice, no source)`
      : `below the ${psi(MOST_INJECTOR_PA)} against which injectors may fail to open (common practice, no source)`;
  return `Dry by raised fuel pressure: from ${psi(fuelPa)} to ${psi(raised)} gauge at the full share, ${bears}. Pump and regulator must hold that at full flow: a pump passes less the higher the pressure is. Pressure that does not rise, or is late, leaves the whole charge lean at once and nothing confirms it: this controller does not do it. With pulsed flow the pressure would have to follow every share.`;
}

/** Wet, dry by the engine computer, dry by raised pressure; and one nozzle, a plate, a nozzle a cylinder. */
export function kindSection(plan: SystemPlan): PlanSection {
  const { lean } = plan.mixtureRange;
  const at = plan.kinds.chargeLambda;
  const fuelApart = (apart: number) => (plan.kind === "dry" ? 0 : apart);
  const rows = SPREADS.map(({ layout, apart }) => [
    `${layout}${layout === plan.layout ? " (chosen)" : ""}`,
    `+-${percentOf(apart)}`,
    leanestLambda(at, apart, fuelApart(apart)).toFixed(2),
    leanestLambda(lean.lambda, apart, fuelApart(apart)).toFixed(2),
  ]);
  const less =
    plan.kind === "dry" ? "; its injector gives it the mean of the fuel" : " and so much less of the fuel";
  return {
    id: "kinds",
    heading: "Other kinds, and the leanest cylinder",
    parts: [
      "Wet: the fuel has jets of its own and fails with its pressure, which the fuel pressure switch sees. Dry by the engine computer: the injectors add the fuel, and the computer confirms it.",
      raisedWords(plan.kinds, plan.sizing.fuelKgS),
      {
        head: ["nitrous enters by", "assumed spread", "lambda, leanest", "at the edge"],
        rows,
        numeric: [1, 2, 3],
      },
      `The leanest cylinder, if it gets so much more of the nitrous${less}; the mean is ${at.toFixed(2)} (${lean.lambda.toFixed(2)} at the lean edge); the spreads are assumed (judgement, no source). Plugs and exhaust temperatures of each cylinder tell the true ones.`,
    ],
  };
}
