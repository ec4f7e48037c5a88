/** Eight invented cars (tests/reference/cars): how each plan must end, and its numbers against hand arithmetic. */
import { readFileSync } from "node:fs";
import { beforeAll, describe, expect, test } from "vitest";
import { simulate } from "#host/car/settled/run.ts";
import { interpolateLine } from "#host/car/torque-curve.ts";
import type { PlanInput } from "#host/plan/input/plan-input.ts";
import { loadCar } from "#host/plan/input/resolve.ts";
import { makePlan } from "#host/plan/plan.ts";
import { dividedOf } from "#host/plan/ramp/stage-window.ts";
import { GoalUnreachable, timeOf } from "#host/plan/run/goal.ts";
import { settingsOf } from "#host/plan/settings-document.ts";
import type { SystemPlan } from "#host/plan/system-plan.ts";
import { checkDocument } from "#shared-schema/settings/document.ts";
import { ALL, sample } from "../../support/effort.ts";
import { ROUGH } from "./planned.ts";

const HP = 745.7;
const PSI = 6894.757;

const textOf = (name: string) =>
  readFileSync(new URL(`../../reference/cars/${name}.yaml`, import.meta.url), "utf8");

function inputOf(text: string): PlanInput {
  const loaded = loadCar(text);
  if (!loaded.ok) throw new Error(loaded.errors.map((e) => e.message).join("; "));
  return loaded.input;
}

interface Car {
  readonly input: PlanInput;
  readonly plan: SystemPlan;
}
const planned = (text: string): Car => {
  const input = inputOf(text);
  return { input, plan: makePlan(input, ROUGH) };
};
const cars: Record<string, Car> = {};
beforeAll(() => {
  for (const name of ["kei", "pickup", "fwdturbo", "door", "cold", "hot", "pickup140"])
    cars[name] = planned(textOf(name));
}, 180_000);

interface Settings {
  readonly windows: { readonly engineSpeed: { readonly openRpm: number } };
  readonly stages: readonly { readonly engineSpeed?: { readonly openRpm: number } }[];
}

const names = ({ plan }: Car, level: string) =>
  plan.cautions.filter((c) => c.level === level).map((c) => c.name);
const hpOf = (plan: SystemPlan) => plan.added.powerW / HP;

/**
 * Brake watts for a gram of nitrous a second in a rich charge, by hand: half a mole of oxygen for each mole (44.013 g) burns
 * gasoline, CH1.87 (13.896 g and 1.4675 mol of oxygen a mole, 43.44 MJ/kg), and 81.6 kJ a mole come from decomposition; 26 %.
 */
const WATTS_A_GRAM = 0.26 * (1 / 44.013) * ((0.5 / 1.4675) * 13.896 * 43_440 + 81_600);

describe("written, with ranges", () => {
  test.each(["kei", "pickup", "fwdturbo", "cold", "hot", "pickup140"])("%s", (name) => {
    const { input, plan } = cars[name]!;
    expect(names(cars[name]!, "stop")).toEqual([]);
    expect(checkDocument(settingsOf(input, plan))).toEqual([]);
    const { addedW, torqueNm, quarterS, runs } = plan.ranges;
    for (const [low, high] of [addedW, torqueNm, quarterS, runs]) expect(low).toBeLessThanOrEqual(high);
    expect(addedW[0]).toBeLessThan(plan.added.powerW);
    expect(addedW[1]).toBeGreaterThanOrEqual(plan.added.powerW * 1.2);
  });

  test.each(["kei", "pickup", "cold", "hot"])("%s: energy, ratio, retard and torque by hand", (name) => {
    const { input, plan } = cars[name]!;
    const grams = plan.sizing.nitrousKgS * 1000;
    expect(plan.added.powerW / (grams * WATTS_A_GRAM)).toBeCloseTo(1, 1);
    expect(Math.abs(plan.added.powerW / (grams * WATTS_A_GRAM) - 1)).toBeLessThan(0.005);
    const ratio = plan.sizing.nitrousKgS / plan.sizing.fuelKgS;
    const lambda = plan.mixture.find((row) => row.bottlePa >= input.nitrous.bottlePa)!.chargeLambda;
    expect(ratio).toBeLessThanOrEqual(0.7 * 9.3);
    expect(ratio / 9.3).toBeCloseTo(lambda, 1);
    expect(plan.retardDeg).toBeCloseTo((2 / 50) * hpOf(plan), 2);
    const [, worst] = plan.ranges.addedW;
    let together = 0;
    for (const { openRpm, part } of plan.stages) {
      together += part;
      const engineNm = plan.torque.find((row) => row.rpm === Math.ceil(openRpm / 100) * 100)!.engineNm;
      const byHand = engineNm + (worst * together * 60) / (2 * Math.PI * openRpm);
      expect(plan.ranges.torqueNm[1]).toBeGreaterThan(byHand * 0.97);
    }
    for (const { torqueNm = Number.POSITIVE_INFINITY } of input.limits)
      expect(plan.ranges.torqueNm[1]).toBeLessThanOrEqual(torqueNm);
  });

  test("fwdturbo: 60 hp on E85 take 6.24 kg of nitrous a kg of fuel (tests/reference/chem.json), seven tenths of it rich", () => {
    const { plan } = cars.fwdturbo!;
    expect(plan.kind).toBe("dry");
    expect(plan.sizing.nitrousKgS / plan.sizing.fuelKgS).toBeCloseTo(0.7 * 6.24, 1);
  });
});

describe("stopped or refused", () => {
  test("door: by name twice, 20 degrees of retard and 225 hp a cylinder of 220 at flow +20 %", () => {
    const { plan } = cars.door!;
    expect(names(cars.door!, "stop").sort()).toEqual(["power-per-cylinder", "retard"]);
    expect(plan.retardDeg).toBeCloseTo((2 / 50) * hpOf(plan), 2);
    expect(plan.retardDeg).toBeGreaterThan(19);
    const byHand = (1200 + 1.2 * hpOf(plan)) / 8;
    expect(byHand).toBeGreaterThan(220);
    expect(plan.added.perCylinderHighW[0] / HP).toBeCloseTo(byHand, 0);
    expect(plan.cautions[0]!.short).toContain(`${byHand.toFixed(0)} hp a cylinder`);
  });

  test.runIf(ALL)("door for 450 hp with its retard acknowledged is written, and that stands first", () => {
    const reason =
      'acknowledged: {retard: "the builder maps 18 degrees and has checked it on an engine stand"}';
    const copy = planned(`${textOf("door").replace("500 hp", "450 hp")}${reason}\n`);
    expect(names(copy, "stop")).toEqual([]);
    expect(copy.plan.cautions[0]).toMatchObject({ level: "acknowledged", name: "retard" });
    expect(checkDocument(settingsOf(copy.input, copy.plan))).toEqual([]);
  });

  /** Best time of the limit run without lags, driver or valves, over all powers that parts bear with a factor on the flow. */
  function bestSettled(input: PlanInput, high: number, openRpm?: number): number {
    const nitrous = { ...input.nitrous, edges: { ...input.nitrous.edges, high } };
    const times = Array.from({ length: 25 }, (_, i) => {
      const divided = dividedOf({ ...input, nitrous }, (10 + 10 * i) * HP);
      const window = openRpm === undefined ? {} : { openRpm };
      return divided.withinLimits ? simulate(input.car, { ...divided.nitrous, ...window }).quarterS : 99;
    });
    return Math.min(...times);
  }

  // What is claimed: no plan runs 12.3 s, and the best one runs the time that is named, with the power that is named.
  test("measured: 12.3 s are refused, and the best that can be reached is named, with its power", () => {
    const input = inputOf(textOf("measured"));
    let refused: unknown;
    try {
      makePlan(input, ROUGH);
    } catch (error) {
      refused = error;
    }
    expect(refused).toBeInstanceOf(GoalUnreachable);
    const said = /([\d.]+) s at best, with (\d+) hp/u.exec((refused as Error).message)!;
    const [bestS, bestHp] = [Number(said[1]), Number(said[2])];
    const there = planned(textOf("measured").replace("quarter-mile: 12.3 s", `added-power: ${bestHp} hp`));
    expect(there.plan.runs.planned.quarterS).toBeCloseTo(bestS, 1);
    // Nothing that the parts bear, in any power, is quicker than a plan by more than its valves and jets cost.
    const swept = sample(
      Array.from({ length: 20 }, (_, i) => (10 + 12 * i) * HP),
      4,
    )
      .map((addedW) => timeOf(input, addedW))
      .filter(({ withinLimits }) => withinLimits);
    expect(bestS).toBeLessThan(Math.min(...swept.map(({ quarterS }) => quarterS)) + 0.15);
  });

  // Why it holds: the limit run asks neither driver nor valves nor lags, and knows no search. With the flow exactly as computed
  // it finds the 13.00 s that were found by hand, with what the parts must bear at the upper edge some 13.1 s; and even if the
  // nitrous followed the parts at every engine speed from 3100 rpm on, 12.3 s would be out of reach by half a second.
  test.runIf(ALL)(
    "measured: the limit run, without a search, reaches 13.0 s at the flow as computed, and never 12.3 s",
    () => {
      const input = inputOf(textOf("measured"));
      const alone = simulate(input.car).quarterS;
      expect(Math.abs(bestSettled(input, 1) - 13.0)).toBeLessThan(0.03);
      expect(Math.abs(bestSettled(input, input.nitrous.edges.high) - 13.1)).toBeLessThan(0.03);
      expect(bestSettled(input, 1, 3100)).toBeGreaterThan(12.8);
      expect(alone).toBeGreaterThan(13.5);
    },
  );

  test.runIf(ALL)("kei for 20.5 s: a small engine has small powers to search", () => {
    const { plan } = planned(textOf("kei").replace("added-power: 15 hp", "quarter-mile: 20.5 s"));
    expect(plan.goalS).toBe(20.5);
    expect(plan.powers.at(-1)!.quarterS).toBeCloseTo(20.5, 1);
    expect(plan.added.wantedW).toBeLessThan(10 * HP);
  });
});

describe("the bottle of the day", () => {
  test("cold: sized where the heater keeps it, so that neither mixture nor rods are passed when it is warm", () => {
    const { input, plan } = cars.cold!;
    expect(plan.cautions[0]).toMatchObject({ level: "caution", name: "bottle-cold" });
    expect((input.nitrous.day!.pressurePa - plan.airPa) / PSI).toBeCloseTo(499, 0);
    expect((plan.bottle.startPa - plan.airPa) / PSI).toBeCloseTo(900, 0);
    const at951 = plan.mixture.find((row) => (row.bottlePa - plan.airPa) / PSI > 930)!;
    expect(at951.chargeLambda).toBeLessThan(0.76);
    expect(at951.addedW / HP).toBeLessThan(85);
    expect(plan.mixtureRange.lean.lambda).toBeLessThan(0.92);
    const { bottle } = settingsOf(input, plan) as { bottle: Record<string, number> };
    expect(bottle.lowestKpaGauge! * 1000).toBeGreaterThan(input.nitrous.day!.pressurePa - plan.airPa);
  });

  test("hot: a full bottle at 36 C trips BOTTLE-HIGH and never opens: said first, and that it must be cooled", () => {
    const { input, plan } = cars.hot!;
    expect((input.nitrous.day!.pressurePa - plan.airPa) / PSI).toBeCloseTo(1167, -1);
    const [first] = plan.cautions;
    expect(first!.name).toBe("bottle-hot");
    expect(`${first!.text} ${first!.instead}`).toMatch(/1167 psi.*BOTTLE-HIGH trips.*never opens.*cool/u);
  });
});

describe("the limiter", () => {
  test("counts where the run ends at it: a flare of the engine while the clutch is open is none", () => {
    const flares = ({ plan }: Car) => plan.trace.some((row) => row.rpm >= plan.base.limiterRpm);
    for (const [name, car] of Object.entries(cars)) {
      const ends = car.plan.trace.at(-1)!.rpm >= car.plan.base.limiterRpm;
      expect([name, names(car, "caution").includes("limiter")]).toEqual([name, ends]);
    }
    expect(Object.values(cars).some((car) => flares(car) && !names(car, "caution").includes("limiter"))).toBe(
      true,
    );
  });
});

describe("less is faster", () => {
  test("pickup140 is advised down: parts open the window later, the larger the shot", () => {
    const { plan } = cars.pickup140!;
    expect(names(cars.pickup140!, "caution")).toContain("less-is-faster");
    const best = Math.min(...plan.powers.map((p) => p.quarterS));
    expect(best).toBeLessThan(plan.powers.at(-1)!.quarterS - 0.1);
  });

  test("is not said of cars whose smaller shot, planned like the whole one, is no quicker", () => {
    for (const name of ["kei", "fwdturbo"])
      expect([name, names(cars[name]!, "caution").includes("less-is-faster")]).toEqual([name, false]);
  });

  test.runIf(ALL)("what pickup140 is advised runs the time that is said", () => {
    const best = cars.pickup140!.plan.powers.reduce((a, b) => (b.quarterS < a.quarterS ? b : a));
    const hp = (best.addedW / HP).toFixed(0);
    const advised = planned(textOf("pickup140").replace("140 hp", `${hp} hp`)).plan;
    expect(Math.abs(advised.runs.planned.quarterS - best.quarterS)).toBeLessThan(0.06);
  });

  test("pickup: a second stage waits for the speed at which 560 Nm bear it, and the first saves most of a second before", () => {
    const { input, plan } = cars.pickup!;
    const [first, second] = plan.stages;
    expect(plan.stages).toHaveLength(2);
    expect(first!.openRpm).toBe(3100);
    const torqueNm = (rpm: number) => interpolateLine(input.car.torque, rpm);
    const heldNm = (rpm: number, part: number) =>
      torqueNm(rpm) + (plan.added.powerW * part * plan.edges.high * 60) / (2 * Math.PI * rpm);
    // Open, it may fall by its hysteresis of 100 rpm; 50 rpm lower still the gearbox would not bear it.
    expect(heldNm(second!.openRpm - 100, 1)).toBeLessThanOrEqual(560);
    expect(heldNm(second!.openRpm - 150, 1)).toBeGreaterThan(560);
    expect(heldNm(3000, first!.part)).toBeLessThanOrEqual(560);
    const one = plan.tried.find(({ parts }) => parts.length === 1)!;
    expect(plan.runs.planned.quarterS).toBeLessThan(one.quarterS - 0.7);
    const { stages, windows } = settingsOf(input, plan) as unknown as Settings;
    expect(windows.engineSpeed.openRpm).toBe(3100);
    expect(stages.map(({ engineSpeed }) => engineSpeed?.openRpm)).toEqual([undefined, second!.openRpm]);
  });

  test("a second stage of less than 10 hp is not planned", () => {
    expect(cars.kei!.plan.stages).toHaveLength(1);
  });

  test("a car without such limits is not", () => {
    expect(names(cars.hot!, "caution")).not.toContain("less-is-faster");
  });
});
