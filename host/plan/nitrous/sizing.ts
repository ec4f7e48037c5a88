/** Jets and bores for an added power: nitrous through the whole chain, fuel through its own jet, which is never rounded down. */
import { fuelJetAreaM2, fuelJetFlow } from "../engine/fuel-system.ts";
import { addedPowerW, fuelForNitrous, nitrousForPower } from "../engine/power.ts";
import type { PlanInput } from "../input/plan-input.ts";
import { fullInlet } from "./bottle-window.ts";
import {
  type ChainStep,
  chainFlow,
  holeAreaM2,
  holeDiameterM,
  lastAreaM2,
  type Restriction,
} from "./chain.ts";
import { type FlowModel, massFlux } from "./flow.ts";
import { jetAbove, type Rounding, roundedJets } from "./jets.ts";

/** Sharp-edged fuel jet (usual textbook range 0.6 to 0.8, from memory). */
const FUEL_JET_COEFFICIENT = 0.75;
/** Valve, fittings and turns between bottle and solenoid, lumped (assumed); the line itself is a pipe. */
const UPSTREAM_COEFFICIENT = 0.75;

/** Jets of one stage; diameters in m, a fuel jet only in a wet stage. */
export interface StageJets {
  readonly part: number;
  readonly nozzles: number;
  readonly nitrousJetM: number;
  readonly fuelJetM: number | undefined;
}

/** Flows and power of the jets at the planned bottle pressure. */
export interface Sizing {
  readonly stages: readonly StageJets[];
  readonly bores: { readonly valveM: number; readonly lineM: number; readonly solenoidM: readonly number[] };
  readonly nitrousKgS: number;
  readonly fuelKgS: number;
  readonly addedW: number;
  readonly steps: readonly ChainStep[];
  /** Flow of the jets by each model, with the same upstream pressure drop, to show the spread. */
  readonly byModel: Readonly<Record<FlowModel, number>>;
}

/** The parts before the jets cannot pass the flow. */
export class ChainTooNarrow extends Error {
  override readonly name = "ChainTooNarrow";
}

/** Absolute pressure, Pa, in the manifold at full throttle. */
export const manifoldPa = (input: PlanInput): number => input.air.pressurePa + input.engine.boostPa;

interface Bores {
  readonly valveM: number;
  readonly lineM: number;
  readonly solenoidM: readonly number[];
}

const tenth = (diameterM: number) => Math.ceil(diameterM * 1e4 - 1e-6) / 1e4;

/** Least bore, m, of a stage's solenoid before jets of an area, m2: wide enough for a small drop. */
export const leastSolenoidM = (jetsM2: number): number => tenth(holeDiameterM(3 * jetsM2));

function chooseBores(input: PlanInput, jetAreaM2: number, parts: readonly number[]): Bores {
  const n = input.nitrous;
  const wide = (times: number, least: number) => Math.max(least, holeDiameterM(times * jetAreaM2));
  return {
    valveM: n.valveBoreM ?? tenth(wide(5, 0.006)),
    lineM: n.lineBoreM ?? tenth(wide(5, 0.0048)),
    solenoidM: parts.map((part) => n.solenoidBoreM ?? leastSolenoidM(part * jetAreaM2)),
  };
}

/** The parts from the bottle to the solenoids, before the jets. */
export function upstream({ nitrous }: PlanInput, bores: Bores): Restriction[] {
  const part = (name: string, areaM2: number) => ({
    name,
    areaM2,
    dischargeCoefficient: UPSTREAM_COEFFICIENT,
  });
  const solenoids = bores.solenoidM.reduce((sum, d) => sum + holeAreaM2(d), 0);
  return [
    part("bottle valve", holeAreaM2(bores.valveM)),
    part("fittings", holeAreaM2(bores.lineM)),
    {
      ...part("line", holeAreaM2(bores.lineM)),
      pipe: { lengthM: nitrous.lineLengthM, friction: nitrous.lineFriction },
    },
    part("solenoids", solenoids),
  ];
}

const totalArea = (stages: readonly StageJets[], pick: (s: StageJets) => number | undefined): number =>
  stages.reduce((sum, s) => sum + s.nozzles * holeAreaM2(pick(s) ?? 0), 0);

/** The chain of a sized system from the bottle to the jets, all stages open. */
export function chainOf(input: PlanInput, bores: Bores, stages: readonly StageJets[]): Restriction[] {
  const areaM2 = totalArea(stages, (s) => s.nitrousJetM);
  return [
    ...upstream(input, bores),
    { name: "jets", areaM2, dischargeCoefficient: input.nitrous.coefficient },
  ];
}

/** Nitrous flow, kg/s, of the first stage alone into the open, from a full bottle at its working pressure: more than beside the others. */
export function firstAloneKgS(input: PlanInput, { bores, stages }: Sizing): number {
  const { bottle, bottlePa } = input.nitrous;
  const chain = chainOf(input, { ...bores, solenoidM: bores.solenoidM.slice(0, 1) }, stages.slice(0, 1));
  return chainFlow(chain, fullInlet(bottle, bottlePa), input.air.pressurePa).massFlowKgS;
}

/** Fuel flow, kg/s, of all fuel jets of a wet system. */
function jettedFuel(input: PlanInput, stages: readonly StageJets[]): number {
  const drop = input.fuel.gaugePa - input.engine.boostPa;
  return fuelJetFlow(
    totalArea(stages, (s) => s.fuelJetM),
    FUEL_JET_COEFFICIENT,
    drop,
    input.fuel.fuel,
  );
}

/** Fuel flow, kg/s, of some of the stages of a sized system: through their jets, or their part of what the engine computer adds. */
export function stageFuel(input: PlanInput, sizing: Sizing, stages: readonly StageJets[]): number {
  if (stages.some((stage) => stage.fuelJetM !== undefined)) return jettedFuel(input, stages);
  return sizing.fuelKgS * stages.reduce((sum, { part }) => sum + part, 0);
}

/**
 * Sizes jets for an added power, W, split into parts over stages with a number of nozzles each.
 * Throws ChainTooNarrow when bores given in the file cannot pass the flow.
 */
export function sizeSystem(
  input: PlanInput,
  addedW: number,
  parts: readonly number[],
  nozzles: number,
  wet: boolean,
  rounding: Rounding = "nearest",
): Sizing {
  const { nitrous, fuel } = input;
  const wanted = nitrousForPower(addedW, fuel.fuel, nitrous.lambda, nitrous.efficiency);
  const inlet = fullInlet(nitrous.bottle, nitrous.bottlePa);
  const back = manifoldPa(input);
  const alone = lastAreaM2([], inlet, back, wanted, nitrous.coefficient)!;
  const bores = chooseBores(input, alone, parts);
  const area = lastAreaM2(upstream(input, bores), inlet, back, wanted, nitrous.coefficient);
  if (area === undefined)
    throw new ChainTooNarrow("bottle valve, line or solenoid cannot pass the nitrous that this power needs");
  const drop = fuel.gaugePa - input.engine.boostPa;
  const areas = parts.map((part) => part * area);
  const jets = roundedJets(areas, nozzles, nitrous.jetsM, rounding);
  const stages = parts.map((part, i): StageJets => {
    const nitrousJetM = jets[i]!;
    const share = (nozzles * holeAreaM2(nitrousJetM)) / area;
    const fuelKgS = fuelForNitrous(wanted * share, fuel.fuel, nitrous.lambda) / nozzles;
    const fuelJetM = wet
      ? jetAbove(holeDiameterM(fuelJetAreaM2(fuelKgS, FUEL_JET_COEFFICIENT, drop, fuel.fuel)), fuel.jetsM)
      : undefined;
    return { part, nozzles, nitrousJetM, fuelJetM };
  });
  return evaluate(input, bores, stages, wet);
}

function evaluate(input: PlanInput, bores: Bores, stages: readonly StageJets[], wet: boolean): Sizing {
  const { fuel, lambda, efficiency, coefficient } = { ...input.nitrous, fuel: input.fuel.fuel };
  const inlet = fullInlet(input.nitrous.bottle, input.nitrous.bottlePa);
  const chain = chainOf(input, bores, stages);
  const flow = chainFlow(chain, inlet, manifoldPa(input));
  const fuelKgS = wet ? jettedFuel(input, stages) : fuelForNitrous(flow.massFlowKgS, fuel, lambda);
  const jets = chain.at(-1)!.areaM2 * coefficient;
  const beforeJets = flow.massFlowKgS / (jets * massFlux("blend", inlet, manifoldPa(input)));
  const model = (name: FlowModel) => beforeJets * jets * massFlux(name, inlet, manifoldPa(input));
  return {
    stages: withParts(stages),
    bores,
    nitrousKgS: flow.massFlowKgS,
    fuelKgS,
    addedW: addedPowerW(flow.massFlowKgS, fuelKgS, fuel, efficiency),
    steps: flow.steps,
    byModel: {
      "single-phase": model("single-phase"),
      blend: model("blend"),
      equilibrium: model("equilibrium"),
    },
  };
}

/** Division over the stages as the rounded jets give it. */
function withParts(stages: readonly StageJets[]): StageJets[] {
  const all = totalArea(stages, (s) => s.nitrousJetM);
  return stages.map((s) => ({ ...s, part: (s.nozzles * holeAreaM2(s.nitrousJetM)) / all }));
}
