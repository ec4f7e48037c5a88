/** The supply of a planned system, for a stepped run: jets and bottle from the plan; division and valve times from the settings, or none for a plan's own run. */
import type { StageSupply, SupplyData, ValveData } from "#host/car/supply-data.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import type { PlanInput } from "../input/plan-input.ts";
import { contentAt, discharge } from "../nitrous/bottle.ts";
import type { MixtureRow } from "../nitrous/mixture.ts";
import type { Sizing } from "../nitrous/sizing.ts";

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

/** What a system gives with all stages open, and what it gives over bottle pressure. */
export interface Supplied {
  readonly addedW: number;
  readonly sizing: Pick<Sizing, "nitrousKgS" | "fuelKgS">;
  readonly mixture: readonly MixtureRow[];
}

/** The part of a plan that a supply needs. */
interface PlannedFlow extends Omit<Supplied, "addedW"> {
  readonly added: { readonly powerW: number };
}

const suppliedBy = ({ added, sizing, mixture }: PlannedFlow): Supplied => ({
  addedW: added.powerW,
  sizing,
  mixture,
});

/** Stages as the settings divide them; without portions all alike. */
function stagesOf({ addedW, sizing }: Supplied, stages: readonly StageSettings[]): StageSupply[] {
  const portions = stages.map((stage) => stage.portionPermille ?? 1000 / stages.length);
  const all = portions.reduce((sum, portion) => sum + portion, 0);
  return stages.map(({ nitrousSolenoid, fuelSolenoid }, i) => {
    const part = portions[i]! / all;
    return {
      addedW: addedW * part,
      nitrousKgS: sizing.nitrousKgS * part,
      fuelKgS: fuelSolenoid ? sizing.fuelKgS * part : 0,
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
  { mixture }: Supplied,
  value: "nitrousKgS" | "addedW",
  planned: number,
): [number, number][] {
  return mixture.map((row) => [row.bottlePa - input.air.pressurePa, row[value] / planned]);
}

function withStages(input: PlanInput, supplied: Supplied, stages: readonly StageSupply[]): SupplyData {
  return {
    ...input.lags,
    stages,
    bottlePa: input.nitrous.bottlePa - input.air.pressurePa,
    bottleOverDrawn: bottleOverDrawn(input),
    flowOverBottle: overBottle(input, supplied, "nitrousKgS", supplied.sizing.nitrousKgS),
    powerOverBottle: overBottle(input, supplied, "addedW", supplied.addedW),
    fuelPa: input.fuel.gaugePa,
  };
}

/** Supply of a car with a plan, wired for some settings. */
export function supplyOf(input: PlanInput, plan: PlannedFlow, settings: Document): SupplyData {
  const supplied = suppliedBy(plan);
  return withStages(
    input,
    supplied,
    stagesOf(supplied, settings.stages as unknown as readonly StageSettings[]),
  );
}

/** Valves that answer at once: in a plan's own run the controller's model has their times. */
const AT_ONCE: ValveData = { opening10VS: 0, opening12VS: 0, opening14VS: 0, closingS: 0 };

const stagesAtOnce = (addedW: number, nitrousKgS: number, parts: readonly number[]): StageSupply[] =>
  parts.map((part) => ({
    addedW: addedW * part,
    nitrousKgS: nitrousKgS * part,
    fuelKgS: 0,
    nitrousValve: AT_ONCE,
    fuelValve: undefined,
  }));

/** Supply of a plan's own run: its stages by their parts, from a bottle that empties. */
export const plannedSupply = (input: PlanInput, supplied: Supplied, parts: readonly number[]): SupplyData =>
  withStages(input, supplied, stagesAtOnce(supplied.addedW, supplied.sizing.nitrousKgS, parts));

/** Supply of an added power, W, before anything is sized: a bottle that keeps its pressure. */
export const steadySupply = (input: PlanInput, addedW: number, parts: readonly number[]): SupplyData => ({
  ...input.lags,
  stages: stagesAtOnce(addedW, 0, parts),
  bottlePa: input.nitrous.bottlePa - input.air.pressurePa,
  bottleOverDrawn: [[0, 1]],
  flowOverBottle: [[0, 1]],
  powerOverBottle: [[0, 1]],
  fuelPa: input.fuel.gaugePa,
});
