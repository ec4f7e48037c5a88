// Plans that this process has made, each made once: a tour, a spread or a review asks for the same car again and again.
import { serialize } from "node:v8";
import type { PlanInput } from "#host/plan/input/plan-input.ts";
import { makePlan } from "#host/plan/plan.ts";
import type { SystemPlan } from "#host/plan/system-plan.ts";

/** A plan has some hundred thousand numbers; more cars than this are planned anew. */
const MOST = 16;
const made = new Map<string, SystemPlan>();

/** The plan of a car, made by the first call with an equal input. Throws what `makePlan` throws, each time. */
export function planOnce(input: PlanInput): SystemPlan {
  const key = serialize(input).toString("latin1");
  const plan = made.get(key) ?? makePlan(input);
  made.delete(key);
  made.set(key, plan);
  for (const oldest of made.keys()) if (made.size > MOST) made.delete(oldest);
  return plan;
}
