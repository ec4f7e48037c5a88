/** Dry or wet, and the injection point: whenever a goal on one side of a threshold gives another system, both sides name that threshold. */
import { fc, test as property } from "@fast-check/vitest";
import { expect, test } from "vitest";
import { chooseKind, chooseLayout } from "#host/plan/choose-kind.ts";
import { loadCar } from "#host/plan/input/resolve.ts";
import type { PlanFacts } from "#host/plan/system-plan.ts";
import { kindReason, layoutReason } from "#host/plan/system-reasons.ts";
import { carText, inputOf } from "./cars.ts";

const HP = 745.7;
const engine = (words: string) => ({
  engine: `{power: 220 kW, power-at: 6000 rpm, rev-limiter: 6800 rpm, ${words}}`,
});
const ABLE = { fuel: "{ecu-enrichment: yes, injector-flow: 900 cc/min}" };
const CARS = [
  inputOf(engine("cylinders: 8")),
  inputOf(engine("cylinders: 2")),
  inputOf(engine("cylinders: 8, intake: carburettor")),
  inputOf({ ...engine("cylinders: 8"), ...ABLE }),
  inputOf({ ...engine("cylinders: 3"), ...ABLE }),
];

/** What is chosen for a goal, in watts, and what is said about both choices. */
function said(input: (typeof CARS)[number], wantedW: number) {
  const kind = chooseKind(input, wantedW);
  const layout = chooseLayout(input, wantedW, kind);
  const base = { cylinders: input.engine.cylinders };
  const facts = { kind, layout, added: { wantedW }, base } as PlanFacts;
  const [how, where] = [kindReason(input, facts), layoutReason(input, facts)];
  return { kind, layout, how: `${how.reason} ${how.changes}`, where: `${where.reason} ${where.changes}` };
}

/** Is a threshold named that lies between two powers, to the five horsepower of a round figure? */
const names = (words: string, low: number, high: number): boolean =>
  [...words.matchAll(/about (\d+) hp/gu)].some(([, hp]) => Number(hp) >= low - 3 && Number(hp) <= high + 3);

const hp = fc.double({ min: 5, max: 400, noNaN: true });
property.prop([fc.constantFrom(...CARS), hp, hp], { numRuns: 200 })(
  "both sides of a threshold name it",
  (input, a, b) => {
    const [low, high] = [Math.min(a, b), Math.max(a, b)];
    const [below, above] = [said(input, low * HP), said(input, high * HP)];
    // A dry and a wet system enter differently: the way in is compared for one kind only.
    if (below.kind !== above.kind) {
      expect([below.how, names(below.how, low, high)]).toEqual([below.how, true]);
      expect([above.how, names(above.how, low, high)]).toEqual([above.how, true]);
    } else if (below.layout !== above.layout) {
      expect([below.where, names(below.where, low, high)]).toEqual([below.where, true]);
      expect([above.where, names(above.where, low, high)]).toEqual([above.where, true]);
    }
  },
);

test("injectors without room are named with their share", () => {
  const input = inputOf({
    ...engine("cylinders: 8"),
    fuel: "{ecu-enrichment: yes, injector-flow: 240 cc/min}",
  });
  expect(said(input, 70 * HP)).toMatchObject({ kind: "wet" });
  expect(said(input, 70 * HP).how).toMatch(/the injectors would be at \d{3} % of their 85 % duty/u);
});

test("a carburettor is never dry: nothing would add the fuel", () => {
  const carburettor = { ...engine("cylinders: 8, intake: carburettor"), ...ABLE };
  expect(chooseKind(inputOf(carburettor), 50 * HP)).toBe("wet");
  const asked = loadCar(carText({ ...carburettor, goal: "{added-power: 50 hp, system: dry}" }));
  expect(asked.ok ? [] : asked.errors.map(({ path }) => path)).toEqual(["goal.system"]);
});

test("a dry system that the file asks for past the usual is said to be", () => {
  const input = inputOf({ ...engine("cylinders: 8"), ...ABLE, goal: "{added-power: 150 hp, system: dry}" });
  expect(said(input, 150 * HP).how).toContain("past the about 100 hp");
});
