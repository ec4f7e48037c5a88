// The car of a rehearsal or a spread: the user's car file with its plan, or the demo's own; wired for the settings at hand.
import type { DrivenCar } from "#host/bench/loop/closed-loop.ts";
import type { Assumption } from "#host/plan/input/plan-input.ts";
import { supplyOf } from "#host/plan/run/supply.ts";
import type { CarOrigin } from "#host/report/rehearsal/origin.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { packageFile } from "../package-file.ts";
import { plannedCar } from "../plan/car-file.ts";
import type { Session } from "../session.ts";

/** A car that can be driven, and what a report says of it. */
export interface NamedCar {
  readonly driven: DrivenCar;
  readonly name: string;
  /** Nobody's car: none was named. */
  readonly demo: boolean;
  readonly engineW: number;
  readonly nitrousW: number;
  /** Time that the plan of this car gives for the quarter mile with its own ramps, s. */
  readonly plannedS: number;
  readonly assumptions: readonly Assumption[];
}

/** The car of a file; the demo car without one. Fails as `plannedCar` does. */
export async function namedCar(
  session: Session,
  file: string | undefined,
  settings: Document,
): Promise<NamedCar> {
  const demo = file === undefined;
  const path = file ?? packageFile("host", "demo", "street-coupe-car.yaml");
  const { input, plan } = await plannedCar(session, path);
  return {
    driven: { car: input.car, driver: input.driver, supply: supplyOf(input, plan, settings) },
    name: input.name,
    demo,
    engineW: input.engine.powerW,
    nitrousW: plan.added.powerW,
    plannedS: plan.runs.planned.quarterS,
    assumptions: input.assumptions,
  };
}

/** What a report says of it. */
export function carOrigin({ name, demo, engineW, nitrousW, plannedS, driven }: NamedCar): CarOrigin {
  return { name, demo, massKg: driven.car.massKg, engineW, nitrousW, plannedS };
}

/** A car file's car, or the demo's own, for any settings: it is planned once. Fails as `plannedCar` does. */
export async function carForAny(
  session: Session,
  file: string | undefined,
): Promise<(settings: Document) => DrivenCar> {
  const path = file ?? packageFile("host", "demo", "street-coupe-car.yaml");
  const { input, plan } = await plannedCar(session, path);
  return (settings) => ({ car: input.car, driver: input.driver, supply: supplyOf(input, plan, settings) });
}
