/** Plans for tests by a rough fit, each made once however many tests look at it. */
import { loadCar } from "#host/plan/input/resolve.ts";
import { makePlan } from "#host/plan/plan.ts";
import type { FitEffort } from "#host/plan/ramp/types.ts";
import type { SystemPlan } from "#host/plan/system-plan.ts";
import { carText } from "./cars.ts";

/** Ramps with few places: their last hundredth of a second matters to no test that uses it. */
export const ROUGH: FitEffort = { axisValues: 12, values: 5, points: 6, least: 0 };

const made = new Map<string, SystemPlan>();

/** The plan of a car file's text. */
export function planOfText(text: string): SystemPlan {
  const before = made.get(text);
  if (before) return before;
  const loaded = loadCar(text);
  if (!loaded.ok) throw new Error(loaded.errors.map((e) => e.message).join("; "));
  const plan = makePlan(loaded.input, ROUGH);
  made.set(text, plan);
  return plan;
}

/** The plan of the tests' car; `extra` replaces whole top-level lines of its file by key. */
export const planOf = (extra: Readonly<Record<string, string>> = {}): SystemPlan =>
  planOfText(carText(extra));
