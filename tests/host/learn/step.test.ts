// What may go into a car file: never more than 5 points at once, never past a STOP, never by one run, never without a yes.
import { fc, test as property } from "@fast-check/vitest";
import { describe, expect, test } from "vitest";
import { agreeing, type Finding, meanOf, type RunValue } from "#host/learn/findings.ts";
import { type Asked, risePoints } from "#host/learn/rise.ts";
import { type Factors, MOST_RISE, NO_RISE, type Question, stepOf } from "#host/learn/step.ts";
import { runs } from "../../support/effort.ts";

const LENGTH = 60;

/** A plan in the manner of a real one: more grip makes room, power takes it; past `stopAt` of room it has a STOP. */
const planWith =
  (stopAt = Number.POSITIVE_INFINITY) =>
  ({ grip = 1, engine = 1, nitrous = 1 }: Factors): Asked => {
    const room = grip ** 3 / (engine ** 2 * nitrous);
    const share = (x: number): number => Math.min(1, Math.max(0, (room * x) / LENGTH));
    const ramp = Array.from({ length: 13 }, (_, i) => [5 * i, share(5 * i)] as const);
    const stops = room > stopAt ? ["retard"] : [];
    return { axis: "road-speed", openRpm: 3000, closeRpm: 6800, stages: [{ part: 1, ramp }], stops };
  };

const value = (key: string, factor: number): RunValue => ({
  ...{ run: `${key}.hgrun`, key, factor, uncertainty: 0.02 },
  ...{ moments: 300, fromS: 3, toS: 9 },
});

const told = (quantity: "grip" | "engine" | "nitrous", factor: number, runs: number): Finding =>
  meanOf(
    quantity,
    Array.from({ length: runs }, (_, i) => value(`${quantity}${i}`, factor)),
    0.02,
  );

const factor = fc.double({ min: 0.8, max: 1.25, noNaN: true });
const finding = fc
  .record({
    quantity: fc.constantFrom("grip" as const, "engine" as const, "nitrous" as const),
    factor,
    runs: fc.integer({ min: 1, max: 3 }),
  })
  .map(({ quantity, factor, runs }) => told(quantity, factor, runs));
const question = fc
  .record({
    findings: fc.uniqueArray(finding, { minLength: 1, selector: ({ quantity }) => quantity }),
    raise: fc.boolean(),
    stopAt: fc.constantFrom(Number.POSITIVE_INFINITY, 0.9, 1.02, 1.2),
    usedKeys: fc.constantFrom([], ["grip0", "grip1", "engine0", "nitrous1"]),
  })
  .map(({ stopAt, ...rest }): Question => ({ ...rest, planWith: planWith(stopAt) }));

/** By how much the plan with a step asks for more than the one before. */
const riseOf = ({ planWith }: Question, factors: Factors): number =>
  risePoints(planWith({})!, planWith(factors)!);

property.prop([question], runs(100))("no step raises a share by more than 5 points", (asked) => {
  expect(riseOf(asked, stepOf(asked).factors)).toBeLessThanOrEqual(MOST_RISE);
});

property.prop([question], runs(100))("nothing is raised without a yes", (asked) => {
  expect(riseOf(asked, stepOf({ ...asked, raise: false }).factors)).toBeLessThanOrEqual(NO_RISE);
});

property.prop([question], runs(100))("nothing is raised past a STOP", (asked) => {
  const step = stepOf({ ...asked, raise: true });
  if (step.raised) expect(asked.planWith(step.factors)!.stops).toEqual([]);
  expect(step.raised).toBe(riseOf(asked, step.factors) > NO_RISE);
});

property.prop([fc.uniqueArray(finding, { minLength: 1, selector: ({ quantity }) => quantity })], runs(100))(
  "one run of each kind raises nothing, whoever says yes",
  (findings) => {
    const single = findings.map((one) => (one.told ? told(one.quantity as "grip", one.factor, 1) : one));
    const asked = { findings: single, raise: true, usedKeys: [], planWith: planWith() };
    expect(riseOf(asked, stepOf(asked).factors)).toBeLessThanOrEqual(NO_RISE);
  },
);

property.prop([fc.double({ min: 0.8, max: 0.99, noNaN: true })], runs(50))(
  "less grip is written at once",
  (grip) => {
    const findings = [told("grip", grip, 1)];
    const step = stepOf({ findings, raise: false, usedKeys: [], planWith: planWith() });
    expect(step).toMatchObject({
      factors: { grip: findings[0]!.told && findings[0]!.factor },
      raised: false,
      remarks: [],
    });
  },
);

describe("a raise", () => {
  const raise = { raise: true, usedKeys: [], planWith: planWith() };

  test("goes part of the way, and says so", () => {
    const step = stepOf({ ...raise, findings: [told("grip", 1.1, 2)] });
    expect(step.raised).toBe(true);
    expect(step.risePoints).toBeGreaterThan(4);
    expect(step.factors.grip).toBeGreaterThan(1.005);
    expect(step.remarks.join()).toContain("only part of the way");
  });

  test("needs two runs that no share was raised for before", () => {
    const findings = [told("grip", 1.1, 2)];
    const step = stepOf({ ...raise, findings, usedKeys: ["grip0"] });
    expect(step.factors).toEqual({});
    expect(step.remarks.join()).toContain("make two new runs with the present ramps");
  });

  test("waits for the second run, while what lowers goes in", () => {
    const step = stepOf({ ...raise, findings: [told("grip", 0.9, 1), told("engine", 0.8, 1)] });
    expect(Object.keys(step.factors)).toEqual(["grip"]);
    expect(step.remarks.join()).toContain("no two runs agree");
  });

  test("does not come where the plan has a STOP already, or at once", () => {
    const findings = [told("grip", 1.1, 2)];
    for (const stopAt of [0.5, 1])
      expect(stepOf({ ...raise, findings, planWith: planWith(stopAt) })).toMatchObject({
        raised: false,
        factors: {},
      });
  });
});

test("runs agree only within their uncertainty, and not with themselves", () => {
  expect(agreeing([value("a", 1), value("b", 1.03)])).toBe(true);
  expect(agreeing([value("a", 1), value("b", 1.06)])).toBe(false);
  expect(agreeing([value("a", 1), value("a", 1)])).toBe(false);
});

test("plans over other axes, or with a wider window, are never compared as lower", () => {
  const before = planWith()({});
  expect(risePoints(before, { ...before, axis: "launch" })).toBe(Number.POSITIVE_INFINITY);
  expect(risePoints(before, { ...before, openRpm: 2900 })).toBe(Number.POSITIVE_INFINITY);
  expect(risePoints(before, { ...before, closeRpm: 6900 })).toBe(Number.POSITIVE_INFINITY);
  expect(risePoints(before, { ...before, closeRpm: 6700 })).toBeLessThanOrEqual(0);
});
