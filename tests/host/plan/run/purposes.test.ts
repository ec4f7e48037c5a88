/** Stages with a purpose: what a stage for the boost gains and costs by hand, where stages go off, and what contradicts them. */
import { describe, expect, test } from "vitest";
import { speedAtRpm } from "#host/car/car.ts";
import { runCautions } from "#host/plan/cautions/run.ts";
import { loadCar } from "#host/plan/input/resolve.ts";
import { makePlan } from "#host/plan/plan.ts";
import { type ControllerData, ControllerModel } from "#host/plan/run/controller-model.ts";
import { settingsOf } from "#host/plan/settings-document.ts";
import type { Caution } from "#host/plan/system-plan.ts";
import { checkDocument } from "#shared-schema/settings/document.ts";
import { carText, inputOf } from "../cars.ts";
import { ROUGH } from "../planned.ts";

const PSI = 6894.757;
const CURVE =
  "[[1500 rpm, 200 Nm], [3000 rpm, 380 Nm], [4500 rpm, 400 Nm], [6500 rpm, 310 Nm], [7000 rpm, 280 Nm]]";
const ENGINE = `{power: 211 kW, power-at: 6500 rpm, rev-limiter: 7000 rpm, cylinders: 4, boost: 20 psi, torque-curve: ${CURVE}}`;
const turbo = (goal: string, extra: Readonly<Record<string, string>> = {}) => ({
  engine: ENGINE,
  car: "{mass: 1400 kg, driven: all}",
  fuel: "{pump-flow: 400 L/h, pressure: 65 psi}",
  tyres: "{friction: 1.4, reserve: 10 %}",
  controls: "{road-pulses: 4000 pulses/km}",
  goal,
  ...extra,
});
const GOAL = "{added-power: 70 hp, purposes: [boost, run], parts: [60 %, 40 %]}";

function planned(goal: string, extra?: Readonly<Record<string, string>>) {
  const input = inputOf(turbo(goal, extra));
  const plan = makePlan(input, ROUGH);
  return { input, plan, settings: settingsOf(input, plan) as unknown as Settings };
}

interface Settings {
  readonly manifold?: Readonly<Record<string, number>>;
  readonly stages: readonly {
    readonly manifold?: Readonly<Record<string, number>>;
    readonly roadSpeed?: Readonly<Record<string, number>>;
  }[];
}

describe("a stage for the boost", () => {
  const { input, plan, settings } = planned(GOAL);
  const spool = plan.spool!;

  test("is there sooner than without it, and the longer the lag, the more it gains", () => {
    const gain = (of: typeof spool) => of.withoutS! - of.withS!;
    expect(gain(spool)).toBeGreaterThan(0.05);
    const slow = planned(GOAL, { engine: ENGINE.replace("boost: 20", "boost-lag: 1.5 s, boost: 20") }).plan;
    expect(gain(slow.spool!)).toBeGreaterThan(gain(spool) * 1.5);
    expect(slow.runs.without.quarterS).toBeGreaterThan(plan.runs.without.quarterS + 0.1);
  });

  test("that brings no boost earlier is said to be of no use; one that does is not", () => {
    const said = (of: typeof plan) => of.cautions.some(({ name }) => name === "boost-stage");
    const quick = planned(GOAL, { engine: ENGINE.replace("boost: 20", "boost-lag: 50 ms, boost: 20") }).plan;
    expect([said(plan), said(quick)]).toEqual([false, true]);
  });

  test("goes off at 80 % of the boost unless the file says otherwise", () => {
    expect((spool.offPa - plan.airPa) / PSI).toBeCloseTo(16, 3);
    const said = inputOf(turbo("{added-power: 70 hp, purposes: [boost, run], boost-off: 12 psi gauge}"));
    expect((said.goal.boostOffPa! - said.air.pressurePa) / PSI).toBeCloseTo(12, 3);
  });

  test("costs torque where it opens: power over speed at the upper edge of the flow, never below 3000 rpm", () => {
    expect(spool.openRpm).toBe(3100);
    const [stage] = plan.stages;
    const byHand = (stage!.part * plan.added.powerW * plan.edges.high * 60) / (2 * Math.PI * 3100);
    expect(spool.addedNm).toBeCloseTo(byHand, 3);
    // The curve at 3100 rpm: 380 + 20 x 100 / 1500. Both stages open there.
    expect(spool.torqueNm).toBeCloseTo(380 + 20 / 15 + byHand / stage!.part, 0);
  });

  test("has a window on manifold pressure in the settings, behind a sensor; both are valid", () => {
    expect(checkDocument(settings as never)).toEqual([]);
    const offDeciKpa = Math.floor(spool.offPa / 100);
    expect(settings.stages.map(({ manifold }) => manifold?.closeDeciKpa)).toEqual([offDeciKpa, undefined]);
    expect(settings.manifold).toMatchObject({ lowDeciKpa: 200, highDeciKpa: 3000 });
    expect(input.assumptions.map(({ key }) => key)).toEqual(
      expect.arrayContaining(["engine.boost-lag", "goal.boost-off", "controls.manifold-sensor-reach"]),
    );
  });
});

test("a stage for the start goes off with first gear, by road speed", () => {
  const { input, plan, settings } = planned(
    "{added-power: 70 hp, purposes: [start, run], parts: [40 %, 60 %]}",
  );
  const offMS = speedAtRpm(input.car, 0, input.car.shiftRpm);
  expect(plan.stages.map((stage) => stage.offMS)).toEqual([offMS, undefined]);
  expect(settings.stages.map(({ roadSpeed }) => roadSpeed?.closeDeciKmh)).toEqual([
    Math.floor(offMS * 36),
    undefined,
  ]);
  expect(settings.manifold).toBeUndefined();
  // It is not a goal that is too large when a stage has gone off by its purpose.
  const said: Caution[] = [];
  const trace = plan.trace.map((row) => ({ ...row, share: Math.min(row.share, 0.6) }));
  runCautions(input, { ...plan, trace }, (caution) => said.push(caution));
  const small = said.find(({ name }) => name === "small-share")!;
  expect(small.text).toContain("a stage that has gone off");
  expect(small.instead).toContain("goal.purposes");
  expect(checkDocument(settings as never)).toEqual([]);
});

describe("the planned run", () => {
  const control: ControllerData = {
    window: { addedW: 50e3, openRpm: 3100, closeRpm: 6500 },
    stages: [
      { part: 0.5, openRpm: 3100, offPa: 200e3 },
      { part: 0.5, openRpm: 3100, offMS: 20 },
    ],
    hysteresisRpm: 100,
    valves: { least: 0, greatest: 1 },
    openingS: 0.01,
    ask: (_, shares) => void shares.fill(1),
  };
  const shares = (places: readonly (readonly [manifoldPa: number, roadMS: number])[]) => {
    const model = new ControllerModel(control, 0.0025);
    return places.map(([manifoldPa, roadMS]) => {
      for (let i = 0; i < 200; i++) model.step({ rpm: 4000, roadMS, launchS: 0, pedal: 1, manifoldPa });
      return [...model.delivered];
    });
  };

  test("shuts a stage above its boost until that has fallen by 10 kPa, and one above its speed by 2 km/h", () => {
    expect(
      shares([
        [150e3, 10],
        [199e3, 19.9],
        [201e3, 20.1],
        [195e3, 19.6],
        [189e3, 19.4],
      ]),
    ).toEqual([
      [1, 1],
      [1, 1],
      [0, 0],
      [0, 0],
      [1, 1],
    ]);
  });
});

test.each([
  [
    "{added-power: 70 hp, purposes: [boost, run]}",
    { engine: "{power: 211 kW, power-at: 6500 rpm, rev-limiter: 7000 rpm}" },
    "goal.purposes",
  ],
  ["{added-power: 70 hp, purposes: [start, run]}", { controls: "{launch-switch: yes}" }, "goal.purposes"],
  ["{added-power: 70 hp, purposes: [boost, boost]}", {}, "goal.purposes"],
  ["{added-power: 70 hp, purposes: [boost, run], stages: 3}", {}, "goal.purposes"],
  ["{added-power: 70 hp, purposes: [boost, run], boost-off: 25 psi gauge}", {}, "goal.boost-off"],
  ["{added-power: 70 hp, boost-off: 12 psi gauge}", {}, "goal.boost-off"],
  [
    "{added-power: 70 hp, purposes: [boost, run]}",
    { controls: "{manifold-sensor-reach: 200 kPa absolute}" },
    "controls.manifold-sensor-reach",
  ],
])("refused: %s %o", (goal, extra, path) => {
  const loaded = loadCar(carText(turbo(goal, extra as Record<string, string>)));
  expect(loaded.ok ? [] : loaded.errors.map((error) => error.path)).toContain(path);
});
