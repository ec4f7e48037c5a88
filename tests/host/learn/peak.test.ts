// The top of scattered points: found between them however few lie near it, and only where they rise to it and fall behind it.
import fc from "fast-check";
import { expect, test } from "vitest";
import { type CurvePoint, topOf } from "#host/learn/peak.ts";
import { runs } from "../../support/effort.ts";

const share = fc.double({ min: 0.05, max: 0.4, noNaN: true });
const tent = fc.record({
  top: fc.double({ min: 0.4, max: 1.5, noNaN: true }),
  at: fc.double({ min: 0.05, max: 0.25, noNaN: true }),
  rise: share,
  fall: share,
});
type Tent = typeof tent extends fc.Arbitrary<infer T> ? T : never;

/** Points of a tent whose sides are straight over the logarithm: many on its left, few beyond, as when a wheel breaks away. */
const pointsOf = ({ top, at, rise, fall }: Tent, off: (n: number) => number): CurvePoint[] =>
  Array.from({ length: 60 }, (_, n) => {
    const x = n < 45 ? at * (0.6 + (0.35 * n) / 45) : at * (0.95 + (0.7 * (n - 45)) / 15);
    const side = x < at ? rise * Math.log(at / x) : fall * Math.log(x / at);
    return { x, y: top * (1 - side) * (1 + off(n)) };
  });

test("a tent's top, whatever its sides", () => {
  fc.assert(
    fc.property(tent, (made) => {
      expect(topOf(pointsOf(made, () => 0))! / made.top).toBeCloseTo(1, 2);
    }),
    runs(100),
  );
});

test("noise of 3 % moves it by less than 3 %", () => {
  fc.assert(
    fc.property(
      tent,
      fc.array(fc.double({ min: -0.03, max: 0.03, noNaN: true }), { minLength: 60, maxLength: 60 }),
      (made, noise) => {
        const top = topOf(pointsOf(made, (n) => noise[n]!));
        expect(top).toBeDefined();
        expect(Math.abs(top! / made.top - 1)).toBeLessThan(0.03);
      },
    ),
    runs(100),
  );
});

test("points that only rise, or only fall, have none", () => {
  const line = (slope: number): CurvePoint[] =>
    Array.from({ length: 40 }, (_, n) => ({ x: 0.05 + n / 400, y: 1 + slope * Math.log(0.05 + n / 400) }));
  for (const slope of [-0.2, 0.2]) expect(topOf(line(slope))).toBeUndefined();
  expect(topOf([])).toBeUndefined();
});
