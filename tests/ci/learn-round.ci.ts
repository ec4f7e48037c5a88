// One round: plan, two runs of a car whose grip and power are 10 % off, learn, plan. Nothing spins, and hardly any time is given away.
import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { shutSettings } from "#host/learn/baseline.ts";
import { withFactors } from "#host/learn/car-text.ts";
import { learn } from "#host/learn/learn.ts";
import { installedBy } from "#host/learn/learn-run.ts";
import { askedOf } from "#host/learn/rise.ts";
import { type Factors, stepOf } from "#host/learn/step.ts";
import { plannedEntry } from "../support/driven.ts";
import { type Hidden, hiddenRun } from "../support/hidden-car.ts";

const CAR = readFileSync("host/demo/street-coupe-car.yaml", "utf8");
const first = plannedEntry(CAR);
const installed = installedBy(first.settings);
const AS_ELSE = { noiseMv: 5, stepsInMs: 2, lags: 1.3 } as const;
const WITHIN_S = 0.05;

const planned = (factors: Factors) => plannedEntry(withFactors(CAR, factors, installed).text);

test.each([
  [{ grip: 0.9, engine: 1.1, nitrous: 1.1 }, "spins with the first plan"],
  [{ grip: 0.9, engine: 0.9, nitrous: 0.9 }, "has little of everything"],
  [{ grip: 0.9, engine: 0.9, nitrous: 1.1 }, "has a weak engine and much nitrous"],
])("a car with %o, which %s", async (truth) => {
  const hidden: Hidden = { ...truth, ...AS_ELSE };
  const runs = [
    (await hiddenRun(first, shutSettings(first.settings), hidden, "shut")).run,
    (await hiddenRun(first, first.settings, hidden, "open")).run,
  ];
  const findings = learn(runs, { car: first.car, supplyFor: () => first.supply });
  const planWith = (factors: Factors) => askedOf(planned(factors).plan);
  const { factors } = stepOf({ findings, planWith, raise: false, usedKeys: [] });
  const learnt = await hiddenRun(first, planned(factors).settings, hidden, "learnt");
  const knew = await hiddenRun(first, planned(truth).settings, hidden, "knew");
  expect(learnt.spin.spin.overS).toBe(0);
  const [ours, best] = [learnt, knew].map(({ timer }) => timer.slip.quarter!.timeS) as [number, number];
  expect(ours).toBeLessThan(best + WITHIN_S);
});
