/** Friction over slip on both sides of the peak, given or assumed, and the grid that it is read from. */
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { gripCurve, gripTable } from "#host/car/grip-curve.ts";
import { Table } from "#host/car/table.ts";
import { interpolateLine } from "#host/car/torque-curve.ts";
import { testCar } from "../plan/cars.ts";
import { gripOf, motionOf } from "./drive.ts";

const GIVEN = [
  [0.04, 0.9],
  [0.08, 1.1],
  [0.2, 1],
] as const;

describe("grip over slip", () => {
  test("as given: through its points, from nothing at no slip to the sliding share", () => {
    const curve = gripCurve(testCar({ grip: { curve: GIVEN, reserve: 0.1 } }));
    const table = gripTable(curve);
    expect([curve.peak, curve.peakSlip]).toEqual([1.1, 0.08]);
    for (const [slip, friction] of GIVEN) expect(table.at(slip)).toBeCloseTo(friction, 3);
    expect(table.at(0)).toBe(0);
    expect(table.at(1)).toBeCloseTo(0.75 * 1.1, 9);
    expect(table.at(5)).toBeCloseTo(0.75 * 1.1, 9);
  });

  test.prop([
    fc.double({ min: 0.3, max: 3.5, noNaN: true }),
    fc.double({ min: 0.01, max: 0.6, noNaN: true }),
    fc.double({ min: 0.2, max: 1, noNaN: true }),
  ])(
    "assumed from a friction: rises to it at the peak's slip, falls to the sliding share",
    (peak, peakSlip, slidingShare) => {
      const curve = gripCurve(testCar({ grip: gripOf(peak), motion: motionOf({ peakSlip, slidingShare }) }));
      const read = (slip: number) => interpolateLine(curve.points, slip);
      expect(read(peakSlip)).toBeCloseTo(peak, 9);
      expect(read(2)).toBeCloseTo(peak * slidingShare, 9);
      for (let k = 1; k <= 20; k++) {
        expect(read((peakSlip * k) / 20)).toBeGreaterThan(read((peakSlip * (k - 1)) / 20));
        expect(read(peakSlip + k / 20)).toBeLessThanOrEqual(read(peakSlip + (k - 1) / 20) + 1e-9);
      }
    },
  );
});

describe("grid of a line", () => {
  test.prop([
    fc.array(fc.double({ min: -50, max: 50, noNaN: true }), { minLength: 2, maxLength: 9 }),
    fc.double({ min: -3, max: 12, noNaN: true }),
  ])("is the line itself where its points lie on the grid, with its slope", (values, x) => {
    const points = values.map((value, i) => [i, value] as const);
    const table = new Table(points, (values.length - 1) * 10);
    expect(table.at(x)).toBeCloseTo(interpolateLine(points, x), 6);
    const inside = x > 0 && x < values.length - 1;
    const cell = Math.floor(x);
    expect(table.slopeAt(x)).toBeCloseTo(inside ? values[cell + 1]! - values[cell]! : 0, 4);
  });
});
