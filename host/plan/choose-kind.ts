/** Dry or wet, and where the nitrous enters: by the fuel system and the size of the goal. */
import { injectorHeadroom } from "./engine/fuel-system.ts";
import { engineFuel, fuelForNitrous, nitrousForPower } from "./engine/power.ts";
import type { PlanInput } from "./input/plan-input.ts";

/** Wet: fuel through its own jets. Dry: the engine computer adds the fuel. */
export type SystemKind = "wet" | "dry";

/** Where the nitrous enters the engine. */
export type Layout = "one nozzle" | "plate" | "nozzle for each cylinder";

/** Above about 200 hp one nozzle feeds many manifolds unevenly (common practice, no source). */
const ONE_NOZZLE_W = 149_000;
/** Dry systems are limited to about 100 hp here (judgement, no source). */
const DRY_LARGEST_W = 75_000;

/** Dry only where engine computer and injectors are known to deliver the fuel; wet in all other cases. */
export function chooseKind(input: PlanInput, addedW: number): SystemKind {
  if (input.goal.system !== "best") return input.goal.system;
  const { fuel, ecuEnrichment, injectorM3S, injectors } = input.fuel;
  if (!ecuEnrichment || injectorM3S === undefined || addedW > DRY_LARGEST_W) return "wet";
  const nitrous = nitrousForPower(addedW, fuel, input.nitrous.lambda, input.nitrous.efficiency);
  const own = engineFuel(input.engine.powerW, fuel, input.engine.lambda, input.engine.efficiency);
  const needed = own + fuelForNitrous(nitrous, fuel, input.nitrous.lambda);
  return injectorHeadroom(needed, injectorM3S, injectors, 0.85, fuel).share <= 1 ? "dry" : "wet";
}

/** One nozzle up to its customary limit; above, a nozzle a cylinder; a plate under a carburettor in between. */
export function chooseLayout(input: PlanInput, addedW: number, kind: SystemKind): Layout {
  const large = addedW > ONE_NOZZLE_W;
  if (input.engine.carburettor)
    return large && addedW > 1.5 * ONE_NOZZLE_W ? "nozzle for each cylinder" : "plate";
  if (large || (kind === "wet" && addedW / input.engine.cylinders > 30_000))
    return "nozzle for each cylinder";
  return "one nozzle";
}
