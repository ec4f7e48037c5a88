/** Dry or wet, and where the nitrous enters: by the fuel system and the size of the goal. */
import { injectorHeadroom } from "./engine/fuel-system.ts";
import { mostFuelKgS } from "./engine/own-power.ts";
import { fuelForNitrous, nitrousForPower } from "./engine/power.ts";
import type { PlanInput } from "./input/plan-input.ts";

/** Wet: fuel through its own jets. Dry: the engine computer adds the fuel. */
export type SystemKind = "wet" | "dry";

/** Where the nitrous enters the engine. */
export type Layout = "one nozzle" | "plate" | "nozzle for each cylinder";

/** A part of this power, W, that a wet nozzle feeds to each cylinder, above which each gets its own (about 40 hp; judgement, no source). */
export const ONE_CYLINDER_W = 30_000;
/** Above about 200 hp one nozzle feeds many manifolds unevenly (common practice, no source). */
export const ONE_NOZZLE_W = 149_000;
/** A plate under a carburettor feeds evenly up to this, W (about 300 hp; judgement, no source). */
export const PLATE_W = 1.5 * ONE_NOZZLE_W;
/** Dry systems are limited to about 100 hp here (judgement, no source). */
export const DRY_LARGEST_W = 75_000;

/** Duty of the injectors, of 85 %, that engine and nitrous together would ask for; undefined where their flow is not known. */
export function dryDuty(input: PlanInput, addedW: number): number | undefined {
  const { fuel, injectorM3S, injectors } = input.fuel;
  const { nitrous: n } = input;
  if (injectorM3S === undefined) return undefined;
  const nitrous = nitrousForPower(addedW, fuel, n.lambda, n.efficiency);
  const needed = mostFuelKgS(input) + fuelForNitrous(nitrous, fuel, n.lambda);
  return injectorHeadroom(needed, injectorM3S, injectors, 0.85, fuel).share;
}

/** Dry only where engine computer and injectors are known to deliver the fuel; wet in all other cases. */
export function chooseKind(input: PlanInput, addedW: number): SystemKind {
  if (input.goal.system !== "best") return input.goal.system;
  const duty = dryDuty(input, addedW);
  const able = input.fuel.ecuEnrichment && !input.engine.carburettor && duty !== undefined;
  return able && addedW <= DRY_LARGEST_W && duty <= 1 ? "dry" : "wet";
}

/** One nozzle up to its customary limit; above, a nozzle a cylinder; a plate under a carburettor in between. */
export function chooseLayout(input: PlanInput, addedW: number, kind: SystemKind): Layout {
  const large = addedW > ONE_NOZZLE_W;
  if (input.engine.carburettor) return addedW > PLATE_W ? "nozzle for each cylinder" : "plate";
  if (large || (kind === "wet" && addedW / input.engine.cylinders > ONE_CYLINDER_W))
    return "nozzle for each cylinder";
  return "one nozzle";
}
