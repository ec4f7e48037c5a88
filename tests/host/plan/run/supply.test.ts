/** The planned system as a supply: at its planned pressure it is the plan, it empties like the planned bottle, and settings divide it. */
import { beforeAll, describe, expect, test } from "vitest";
import type { SupplyData } from "#host/car/supply-data.ts";
import { interpolateLine } from "#host/car/torque-curve.ts";
import { makePlan } from "#host/plan/plan.ts";
import { supplyOf } from "#host/plan/run/supply.ts";
import { settingsOf } from "#host/plan/settings-document.ts";
import type { SystemPlan } from "#host/plan/system-plan.ts";
import { inputOf } from "../cars.ts";

const QUICK = { axisValues: 12, values: 6, points: 4, least: 0 } as const;
const input = inputOf({ nitrous: "{torque-lag: 45 ms}" });
let plan: SystemPlan;
let supply: SupplyData;

beforeAll(() => {
  plan = makePlan(input, QUICK);
  supply = supplyOf(input, plan, settingsOf(input, plan));
}, 30_000);

describe("supply of a plan", () => {
  test("has the plan's stages, flows and power, and the lags of the car file", () => {
    expect(supply.stages.length).toBe(plan.stages.length);
    expect(supply.stages.reduce((sum, s) => sum + s.addedW, 0)).toBeCloseTo(plan.sizing.addedW, 3);
    expect(supply.stages.reduce((sum, s) => sum + s.nitrousKgS, 0)).toBeCloseTo(plan.sizing.nitrousKgS, 9);
    expect(supply.torqueLagS).toBeCloseTo(0.045, 9);
  });

  test("at the planned bottle pressure flow and power are the plan's, within 1 %", () => {
    expect(interpolateLine(supply.flowOverBottle, supply.bottlePa)).toBeCloseTo(1, 2);
    expect(interpolateLine(supply.powerOverBottle, supply.bottlePa)).toBeCloseTo(1, 2);
  });

  test("drawn as in the planned run, the bottle ends where the plan says, within 1 %", () => {
    const share = interpolateLine(supply.bottleOverDrawn, plan.bottle.usedKg);
    const planned = (plan.bottle.endPa - plan.airPa) / (plan.bottle.startPa - plan.airPa);
    expect(share / planned).toBeCloseTo(1, 2);
    expect(share).toBeLessThan(1);
  });

  test("is divided as the settings say, with their valve times", () => {
    const settings = {
      stages: [3, 1].map((part) => ({
        kind: "wet",
        portionPermille: 250 * part,
        nitrousSolenoid: { opening10VUs: 9000, opening12VUs: 8000, opening14VUs: 7000, closingUs: 5000 },
      })),
    };
    const { stages } = supplyOf(input, plan, settings);
    expect(stages.map((stage) => stage.addedW / plan.added.powerW)).toEqual([0.75, 0.25]);
    expect(stages[0]!.nitrousValve).toEqual({
      opening10VS: 0.009,
      opening12VS: 0.008,
      opening14VS: 0.007,
      closingS: 0.005,
    });
    expect(stages[0]!.fuelValve).toBeUndefined();
  });
});
