// A car is planned once in a process, and another car is not taken for it.
import { expect, test } from "vitest";
import { planOnce } from "#host/cli/plan/plan-once.ts";
import { makePlan } from "#host/plan/plan.ts";
import { goalOf, inputOf } from "../../plan/cars.ts";

test("an equal input gives the plan that was made, whatever its object; a changed one is planned anew", () => {
  const plan = planOnce(inputOf());
  expect(planOnce(inputOf())).toBe(plan);
  expect(plan).toEqual(makePlan(inputOf()));
  const more = planOnce(inputOf({ goal: goalOf(110) }));
  expect(more.added.wantedW).toBeGreaterThan(plan.added.wantedW);
});
