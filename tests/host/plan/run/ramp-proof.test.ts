/** What a proof of ramps promises: never past a step that failed, and of the axes the quickest that holds as asked. */
import { fc, test as property } from "@fast-check/vitest";
import { expect, test } from "vitest";
import { type AxisProof, heldTo, holdsAsAsked, provenBest } from "#host/plan/run/ramp-proof.ts";

const step = fc.record({ overPeakS: fc.constantFrom(0, 0, 0, 0.01, 1) });

property.prop([fc.array(step, { minLength: 1, maxLength: 12 })])(
  "every step up to what is promised held, and the next one did not",
  (seen) => {
    const steps = seen.map((one, i) => ({ ...one, value: i / 40 }));
    const { value, failed } = heldTo(steps);
    const after = steps.filter((one) => one.value > value || one.overPeakS > 0);
    if (steps[0]!.overPeakS === 0)
      for (const one of steps.filter((other) => other.value <= value)) expect(one.overPeakS).toBe(0);
    expect(failed).toBe(steps.some(({ overPeakS }) => overPeakS > 0));
    if (failed) expect(after[0]!.overPeakS).toBeGreaterThan(0);
  },
);

const axis = (name: AxisProof["axis"], quarterS: number, grip: number, late = 1): AxisProof => ({
  axis: name,
  reserve: 0.1,
  quarterS,
  grip: { value: grip, failed: true },
  late: { value: late, failed: true },
  battery: { lowV: 11.5, highV: 14.7, lowHolds: true, highHolds: true },
});
const ASKED = { gripLoss: 0.1, lateS: 0.3 };

test("the quickest that holds is taken; without one the one that holds furthest", () => {
  const [road, launch] = [axis("road-speed", 12.4, 0.1), axis("launch", 12.3, 0.1)];
  expect(provenBest([road, launch], ASKED)).toBe(launch);
  expect(provenBest([road, axis("launch", 12.3, 0.075)], ASKED)).toBe(road);
  expect(provenBest([road, axis("launch", 12.3, 0.2, 0.1)], ASKED)).toBe(road);
  const further = axis("launch", 12.9, 0.075);
  expect(provenBest([axis("road-speed", 12.4, 0.05), further], ASKED)).toBe(further);
});

test("an axis that spins at an edge of the battery does not hold", () => {
  const road = axis("road-speed", 12, 0.1);
  for (const edge of ["lowHolds", "highHolds"])
    expect(holdsAsAsked({ ...road, battery: { ...road.battery, [edge]: false } }, ASKED)).toBe(false);
});

test("a late start counts over the launch alone", () => {
  expect(holdsAsAsked(axis("road-speed", 12, 0.1, 0), ASKED)).toBe(true);
  expect(holdsAsAsked(axis("launch", 12, 0.1, 0), ASKED)).toBe(false);
});
