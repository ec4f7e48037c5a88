// Plans that this process has made, each made once: a tour, a spread or a review asks for the same car again and again.
import { isDeepStrictEqual } from "node:util";
import type { PlanInput } from "#host/plan/input/plan-input.ts";
import { makePlan } from "#host/plan/plan.ts";
import type { SystemPlan } from "#host/plan/system-plan.ts";

/** A plan has some hundred thousand numbers; more cars than this are planned anew. */
const MOST = 16;

interface Made {
  /** As it was then: the caller may change its own. */
  readonly input: PlanInput;
  readonly plan: SystemPlan;
}

/** The one that was asked for last stands first. */
const made: Made[] = [];

/** The plan of a car, made by the first call with an equal input. Throws what `makePlan` throws, each time. */
export function planOnce(input: PlanInput): SystemPlan {
  const at = made.findIndex((each) => isDeepStrictEqual(each.input, input));
  const [known] = at < 0 ? [] : made.splice(at, 1);
  const asked = known ?? { input: structuredClone(input), plan: makePlan(input) };
  made.unshift(asked);
  made.splice(MOST);
  return asked.plan;
}
