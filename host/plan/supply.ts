/** The planned system as a supply that a car in motion can be fed from. */
import type { Line, StageSupply, SupplyData } from "#host/car/supply-data.ts";
import type { PlanInput } from "./input/plan-input.ts";
import { contentAt, discharge } from "./nitrous/bottle.ts";
import type { PlannedStage, SystemPlan } from "./system-plan.ts";

/** The bottle is emptied for its line in so long, s, by this share of its charge a second: how fast it is drawn does not matter to it. */
const EMPTIED_S = 4;
const CHARGE_SHARE_PER_S = 0.2;

function stageOf({ nitrous }: PlanInput, plan: SystemPlan, stage: PlannedStage): StageSupply {
  const valve = {
    opening10VS: nitrous.opening10VS,
    opening12VS: nitrous.openingS,
    opening14VS: nitrous.opening14VS,
    closingS: nitrous.closingS,
  };
  const wet = plan.kind === "wet";
  return {
    addedW: stage.addedW,
    nitrousKgS: stage.nitrousKgS,
    fuelKgS: wet ? stage.fuelKgS : 0,
    nitrousValve: valve,
    fuelValve: wet ? valve : undefined,
  };
}

/** Pressure over nitrous drawn, down to a fifth of the charge or to the end of the liquid. */
function bottleLine({ nitrous, air }: PlanInput): Line {
  const { bottle, bottlePa } = nitrous;
  const from = { massKg: bottle.chargeKg, content: contentAt(bottle, bottle.chargeKg, bottlePa) };
  const { samples } = discharge(bottle, from, EMPTIED_S, () => CHARGE_SHARE_PER_S * bottle.chargeKg);
  const gauge = (pressurePa: number) => (pressurePa - air.pressurePa) / (bottlePa - air.pressurePa);
  return samples.map(({ massKg, pressurePa }) => [bottle.chargeKg - massKg, gauge(pressurePa)] as const);
}

/** Supply of a plan, full bottle at its planned pressure. */
export function supplyOf(input: PlanInput, plan: SystemPlan): SupplyData {
  const { sizing, mixture } = plan;
  const gauge = (pressurePa: number) => pressurePa - input.air.pressurePa;
  return {
    ...input.lags,
    stages: plan.stages.map((stage) => stageOf(input, plan, stage)),
    bottlePa: gauge(input.nitrous.bottlePa),
    bottleOverDrawn: bottleLine(input),
    flowOverBottle: mixture.map((row) => [gauge(row.bottlePa), row.nitrousKgS / sizing.nitrousKgS] as const),
    powerOverBottle: mixture.map((row) => [gauge(row.bottlePa), row.addedW / sizing.addedW] as const),
    fuelPa: input.fuel.gaugePa,
  };
}
