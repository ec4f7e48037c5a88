/**
 * Restrictions in series: bottle valve, line, solenoid, jet. The flow through all is the same; each has its own
 * pressure drop, and its outlet, at unchanged enthalpy, is the inlet of the next. Boiling starts at the first one.
 * The line is a pipe: Darcy and Weisbach, with the mixture taken as homogeneous.
 */
import { blendChoke, blendedFlux, type FlowModel, type Inlet, massFlux, unchokedBlendFlux } from "./flow.ts";
import { fallingRoot } from "./root.ts";
import { saturationAt, saturationTemperatureK } from "./saturation.ts";
import { compressedLiquid, throttledTo } from "./states.ts";

/** One restriction: a name for the report, its open area, m2, and its discharge coefficient. */
export interface Restriction {
  readonly name: string;
  readonly areaM2: number;
  readonly dischargeCoefficient: number;
  /** A pipe of this length, m, and Darcy friction factor in place of an orifice; its area is that of its bore. */
  readonly pipe?: { readonly lengthM: number; readonly friction: number };
}

/** Steps in which a pipe is marched: its liquid boils on the way, and the lighter mixture loses more. */
const PIPE_STEPS = 8;

/** The flow is found to this part of the largest. */
const FLOW_SHARE = 1e-5;
/** A pressure between two restrictions is found to this part of the whole drop. */
const PRESSURE_SHARE = 1e-6;
/** A wide restriction loses less than this part of the drop: there it is looked for first, since the flux has one maximum, and choking is further down. */
const LITTLE_SHARE = 0.1;

/** Pressure upstream of a restriction, absolute Pa, and the pressure drop across it. */
export interface ChainStep {
  readonly name: string;
  readonly beforePa: number;
  readonly dropPa: number;
}

/** Result: mass flow, kg/s, and the pressure drop of each restriction. */
export interface ChainFlow {
  readonly massFlowKgS: number;
  readonly steps: readonly ChainStep[];
}

/** Area, m2, of a round hole of a diameter, m. */
export const holeAreaM2 = (diameterM: number): number => (Math.PI / 4) * diameterM * diameterM;

/** Diameter, m, of a round hole of an area, m2. */
export const holeDiameterM = (areaM2: number): number => Math.sqrt((4 * areaM2) / Math.PI);

/** Two-phase inlet of the next restriction after throttling to an absolute pressure, Pa. */
function throttledInlet(inlet: Inlet, pressurePa: number): Inlet {
  if (pressurePa >= inlet.vapourPa) {
    return { state: compressedLiquid(pressurePa, inlet.state.temperatureK), vapourPa: inlet.vapourPa };
  }
  return { state: throttledTo(pressurePa, inlet.state.enthalpyJKg), vapourPa: pressurePa };
}

/** Loss factor of a pipe, f L / D. */
const lossFactor = (areaM2: number, pipe: NonNullable<Restriction["pipe"]>): number =>
  (pipe.friction * pipe.lengthM) / holeDiameterM(areaM2);

/** Flow, kg/s, of a pipe whose liquid would not boil on the way: more than it ever passes. */
const liquidPipeFlow = ({ areaM2, pipe }: Restriction, { state }: Inlet, backPa: number): number =>
  areaM2 *
  Math.sqrt((2 * state.densityKgM3 * Math.max(0, state.pressurePa - backPa)) / lossFactor(areaM2, pipe!));

/** Pressure at the end of a pipe that passes `massFlowKgS`, or undefined when the floor is reached before. */
function pressureBehindPipe(
  { areaM2, pipe }: Restriction,
  inlet: Inlet,
  massFlowKgS: number,
  floorPa: number,
): number | undefined {
  const loss = (lossFactor(areaM2, pipe!) * (massFlowKgS / areaM2) ** 2) / 2 / PIPE_STEPS;
  let { pressurePa, densityKgM3 } = inlet.state;
  for (let i = 0; i < PIPE_STEPS; i++) {
    const middlePa = pressurePa - loss / densityKgM3 / 2;
    if (middlePa <= floorPa) return undefined;
    pressurePa -= loss / throttledInlet(inlet, middlePa).state.densityKgM3;
    if (pressurePa <= floorPa) return undefined;
    densityKgM3 = throttledInlet(inlet, pressurePa).state.densityKgM3;
  }
  return pressurePa;
}

/** Mass flow, kg/s, through one restriction. */
export function restrictionFlow(
  part: Restriction,
  inlet: Inlet,
  backPa: number,
  model: FlowModel = "blend",
): number {
  if (part.pipe !== undefined) return liquidPipeFlow(part, inlet, backPa);
  return part.dischargeCoefficient * part.areaM2 * massFlux(model, inlet, backPa);
}

/** Pressure downstream of a restriction that passes `massFlowKgS`, or undefined when it cannot pass that much. */
function pressureBehind(
  part: Restriction,
  inlet: Inlet,
  massFlowKgS: number,
  floorPa: number,
): number | undefined {
  if (part.pipe !== undefined) return pressureBehindPipe(part, inlet, massFlowKgS, floorPa);
  const wanted = massFlowKgS / (part.dischargeCoefficient * part.areaM2);
  const { pressurePa } = inlet.state;
  const tolerancePa = PRESSURE_SHARE * (pressurePa - floorPa);
  const littlePa = pressurePa - LITTLE_SHARE * (pressurePa - floorPa);
  if (unchokedBlendFlux(inlet, littlePa) >= wanted)
    return fallingRoot(
      (behindPa) => unchokedBlendFlux(inlet, behindPa) - wanted,
      littlePa,
      pressurePa,
      tolerancePa,
    );
  const choke = blendChoke(inlet);
  if (blendedFlux(inlet, floorPa, choke) < wanted) return undefined;
  const spare = (behindPa: number): number => blendedFlux(inlet, behindPa, choke) - wanted;
  return fallingRoot(spare, floorPa, pressurePa, tolerancePa);
}

function walk(
  parts: readonly Restriction[],
  inlet: Inlet,
  massFlowKgS: number,
  backPa: number,
): Inlet[] | undefined {
  const inlets = [inlet];
  for (const part of parts.slice(0, -1)) {
    const behind = pressureBehind(part, inlets.at(-1)!, massFlowKgS, backPa);
    if (behind === undefined) return undefined;
    inlets.push(throttledInlet(inlets.at(-1)!, behind));
  }
  return inlets;
}

/** Flow of the last restriction less the flow through the others; minus that flow where the others cannot pass it. */
function surplus(parts: readonly Restriction[], inlet: Inlet, massFlowKgS: number, backPa: number): number {
  const walked = walk(parts, inlet, massFlowKgS, backPa);
  return walked === undefined
    ? -massFlowKgS
    : restrictionFlow(parts.at(-1)!, walked.at(-1)!, backPa) - massFlowKgS;
}

/**
 * Flow through a chain of at least one restriction by the blend, from the bottle to an absolute back pressure, Pa:
 * more flow always leaves less pressure for the last one, so there is one answer.
 */
export function chainFlow(parts: readonly Restriction[], inlet: Inlet, backPa: number): ChainFlow {
  if (parts.length === 0) throw new RangeError("a chain needs at least one restriction");
  const most = Math.min(...parts.map((part) => restrictionFlow(part, inlet, backPa)));
  const massFlowKgS =
    parts.length === 1
      ? most
      : fallingRoot((m) => surplus(parts, inlet, m, backPa), 0, most, FLOW_SHARE * most);
  const inlets = walk(parts, inlet, massFlowKgS, backPa) ?? [];
  const steps = parts.map((part, i) => {
    const beforePa = inlets[i]?.state.pressurePa ?? backPa;
    return { name: part.name, beforePa, dropPa: beforePa - (inlets[i + 1]?.state.pressurePa ?? backPa) };
  });
  return { massFlowKgS, steps };
}

/**
 * Area, m2, of the last restriction that makes the chain pass `massFlowKgS`; undefined when the parts before it cannot
 * pass that much. The last one's flow is simply proportional to its area once the pressure before it is known.
 */
export function lastAreaM2(
  before: readonly Restriction[],
  inlet: Inlet,
  backPa: number,
  massFlowKgS: number,
  dischargeCoefficient: number,
): number | undefined {
  const probe = { name: "jet", areaM2: 1, dischargeCoefficient };
  const walked = walk([...before, probe], inlet, massFlowKgS, backPa);
  if (walked === undefined) return undefined;
  const flux = blendedFlux(walked.at(-1)!, backPa);
  return flux > 0 ? massFlowKgS / (dischargeCoefficient * flux) : undefined;
}

/** Bottle pressure, absolute Pa, to the inlet of the first restriction; below the critical point only. */
export function bottleInlet(pressurePa: number): Inlet {
  const sat = saturationAt(saturationTemperatureK(pressurePa));
  return { state: sat.liquid, vapourPa: sat.pressurePa };
}
