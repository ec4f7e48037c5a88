/** The supply of a planned system, for a stepped run: jets and bottle from the plan, division and valve times from the settings. */
import type { StageSupply, SupplyData, ValveData } from "#host/car/supply-data.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import type { PlanInput } from "../input/plan-input.ts";
import { contentAt, discharge } from "../nitrous/bottle.ts";
import type { SystemPlan } from "../system-plan.ts";

/** Share of the charge over which the falling pressure is worked out, and the time that it takes there, s. */
const DRAWN_SHARE = 0.6;
const EMPTIED_S = 6;

type Times = Readonly<Record<"opening10VUs" | "opening12VUs" | "opening14VUs" | "closingUs", number>>;

interface StageSettings {
  readonly kind: string;
  readonly portionPermille?: number;
  readonly nitrousSolenoid: Times;
  readonly fuelSolenoid?: Times;
}

const valveOf = (times: Times): ValveData => ({
  opening10VS: times.opening10VUs / 1e6,
  opening12VS: times.opening12VUs / 1e6,
  opening14VS: times.opening14VUs / 1e6,
  closingS: times.closingUs / 1e6,
});

/** Stages as the settings divide them; without portions all alike. */
function stagesOf(plan: SystemPlan, stages: readonly StageSettings[]): StageSupply[] {
  const portions = stages.map((stage) => stage.portionPermille ?? 1000 / stages.length);
  const all = portions.reduce((sum, portion) => sum + portion, 0);
  return stages.map(({ nitrousSolenoid, fuelSolenoid }, i) => {
    const part = portions[i]! / all;
    return {
      addedW: plan.added.powerW * part,
      nitrousKgS: plan.sizing.nitrousKgS * part,
      fuelKgS: fuelSolenoid ? plan.sizing.fuelKgS * part : 0,
      nitrousValve: valveOf(nitrousSolenoid),
      fuelValve: fuelSolenoid && valveOf(fuelSolenoid),
    };
  });
}

/** Bottle pressure over what was drawn, kg, as a share of that at the start; gauge. */
function bottleOverDrawn({ nitrous, air }: PlanInput): [number, number][] {
  const { bottle, bottlePa } = nitrous;
  const from = { massKg: bottle.chargeKg, content: contentAt(bottle, bottle.chargeKg, bottlePa) };
  const { samples } = discharge(bottle, from, EMPTIED_S, () => (bottle.chargeKg * DRAWN_SHARE) / EMPTIED_S);
  const startPa = samples[0]!.pressurePa - air.pressurePa;
  return samples.map(({ massKg, pressurePa }) => [
    bottle.chargeKg - massKg,
    (pressurePa - air.pressurePa) / startPa,
  ]);
}

/** A figure of the mixture's rows over gauge bottle pressure, as a share of its value at the planned one. */
function overBottle(
  input: PlanInput,
  plan: SystemPlan,
  value: "nitrousKgS" | "addedW",
  planned: number,
): [number, number][] {
  return plan.mixture.map((row) => [row.bottlePa - input.air.pressurePa, row[value] / planned]);
}

/** Supply of a car with a plan, wired for some settings. */
export function supplyOf(input: PlanInput, plan: SystemPlan, settings: Document): SupplyData {
  return {
    ...input.lags,
    stages: stagesOf(plan, settings.stages as unknown as readonly StageSettings[]),
    bottlePa: input.nitrous.bottlePa - input.air.pressurePa,
    bottleOverDrawn: bottleOverDrawn(input),
    flowOverBottle: overBottle(input, plan, "nitrousKgS", plan.sizing.nitrousKgS),
    powerOverBottle: overBottle(input, plan, "addedW", plan.added.powerW),
    fuelPa: input.fuel.gaugePa,
  };
}
