/** Kinds of systems: raised fuel pressure against the orifice law, uneven spread against cylinders that add up. */
import { fc, test as property } from "@fast-check/vitest";
import { expect, test } from "vitest";
import { leanestLambda, raisedPressurePa } from "#host/plan/engine/kinds.ts";

const flow = fc.double({ min: 0.001, max: 0.2, noNaN: true });

property.prop([
  fc.double({ min: 2e5, max: 6e5, noNaN: true }),
  fc.double({ min: 0, max: 1e5, noNaN: true }),
  flow,
  flow,
])(
  "at the raised pressure an orifice that passed the engine's fuel passes both",
  (fuelPa, manifoldPa, own, added) => {
    const area = own / Math.sqrt(2 * 745 * (fuelPa - manifoldPa));
    const raised = raisedPressurePa(fuelPa, manifoldPa, own, added);
    expect((area * Math.sqrt(2 * 745 * (raised - manifoldPa))) / (own + added)).toBeCloseTo(1, 9);
  },
);

property.prop([fc.double({ min: 0.3, max: 1.2, noNaN: true }), fc.double({ min: 0, max: 0.3, noNaN: true })])(
  "one cylinder lean by a spread is another rich by it: four cylinders get all of nitrous and fuel",
  (lambda, apart) => {
    const nitrous = [1 + apart, 1 - apart, 1, 1];
    const fuel = [1 - apart, 1 + apart, 1, 1];
    const ratios = nitrous.map((n, i) => (lambda * n) / fuel[i]!);
    expect(nitrous.reduce((a, b) => a + b) + fuel.reduce((a, b) => a + b)).toBeCloseTo(8, 9);
    expect(leanestLambda(lambda, apart)).toBeCloseTo(Math.max(...ratios), 9);
  },
);

test("by hand: 0.70 and a tenth either way is 0.86; a fifth more fuel at 43 psi asks for 62 psi", () => {
  expect(leanestLambda(0.7, 0.1)).toBeCloseTo(0.856, 3);
  expect(leanestLambda(0.7, 0.1, 0)).toBeCloseTo(0.77, 6);
  expect(raisedPressurePa(43, 0, 1, 0.2)).toBeCloseTo(61.9, 1);
});
