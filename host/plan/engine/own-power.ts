/** The engine's own power and fuel in the air of the place: thick air gives more of both than the rating says, thin air less. */
import type { PlanInput } from "../input/plan-input.ts";
import { SEA_LEVEL_DENSITY_KG_M3 } from "./atmosphere.ts";
import { engineFuel } from "./power.ts";

/** Peak power in the air of the place, W: the car's torque curve follows the air, but for an engine with boost. */
export const siteW = ({ engine, air }: PlanInput): number =>
  engine.boostPa > 0 ? engine.powerW : engine.powerW * (air.densityKgM3 / SEA_LEVEL_DENSITY_KG_M3);

/** Power where it is greatest, W: as rated, or more in thick air. */
export const mostOwnW = (input: PlanInput): number => Math.max(input.engine.powerW, siteW(input));

const fuelFor = ({ engine, fuel }: PlanInput, powerW: number): number =>
  engineFuel(powerW, fuel.fuel, engine.lambda, engine.efficiency);

/** Fuel of the engine alone in the air of the place, kg/s. */
export const siteFuelKgS = (input: PlanInput): number => fuelFor(input, siteW(input));

/** The most fuel of the engine alone, kg/s: what pump and injectors must pass beside the nitrous's. */
export const mostFuelKgS = (input: PlanInput): number => fuelFor(input, mostOwnW(input));
