// How a run differs from its plan, in words that stand after "Run".
import { expect, test } from "vitest";
import { AS_PLANNED } from "#host/bench/loop/conditions.ts";
import { conditionWords } from "#host/report/rehearsal/origin.ts";

const PSI = 6894.757;

test("what differs is said with the side to which it differs, and against what", () => {
  expect(conditionWords({ conditions: AS_PLANNED })).toBe("as planned");
  const low = { ...AS_PLANNED, gripShare: 0.9, bottlePa: -50 * PSI, batteryV: -2.3 };
  expect(conditionWords({ conditions: low })).toBe(
    "with grip 90 %, bottle 50 psi below the plan's, battery 2.3 V below the car file's",
  );
  const high = { ...AS_PLANNED, bottlePa: 20 * PSI, batteryV: 0.9 };
  expect(conditionWords({ conditions: high, liftS: 1.5 })).toBe(
    "with bottle 20 psi above the plan's, battery 0.9 V above the car file's, a lift 1.50 s after the launch switch",
  );
});
