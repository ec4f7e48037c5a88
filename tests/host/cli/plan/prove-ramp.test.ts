// `headgate plan --prove-ramp`: what it promises holds when the control core is driven there again, and just beyond it some wheel spins.
import { describe, expect, test } from "vitest";
import { ClosedLoop } from "#host/bench/loop/closed-loop.ts";
import { AS_PLANNED, type Conditions, under } from "#host/bench/loop/conditions.ts";
import { drive } from "#host/bench/loop/drive.ts";
import { launchScript } from "#host/bench/loop/script.ts";
import { QUARTER_MILE_M } from "#host/car/quarter-mile.ts";
import { proveRamp } from "#host/cli/plan/prove-ramp.ts";
import { makePlan } from "#host/plan/plan.ts";
import { supplyOf } from "#host/plan/run/supply.ts";
import { settingsOf } from "#host/plan/settings-document.ts";
import { planSections } from "#host/report/plan/sections.ts";
import { flashWith, inputOf, rigWith } from "../../../support/driven.ts";
import { ALL } from "../../../support/effort.ts";
import { TWELVE_CARS } from "../../plan/twelve-cars.ts";

/** One axis on an ordinary day. */
const ONE_AXIS = ["Bramble, street V8"];
const EVERY_AXIS = ["Pebble, town hatchback", "Bramble, street V8", "Anvil, bracket car"];
const textOf = (name: string): string => {
  const { text } = TWELVE_CARS.find((car) => car.name === name)!;
  return ALL ? text : text.replace("goal: {", "goal: {ramp: road-speed, ");
};

describe.each(ALL ? EVERY_AXIS : ONE_AXIS)("%s", (name) => {
  test("holds to what is promised, spins within 5 % beyond it, and is said in the report", async () => {
    const input = inputOf(textOf(name));
    const made = makePlan(input);
    const { signal } = new AbortController();
    const { plan, proof } = await proveRamp(input, made, { workers: 1, runs: ALL ? 15 : 3, signal });
    const own = proof.axes.find(({ axis }) => axis === proof.chosen)!;
    const settings = settingsOf(input, plan);
    const flash = flashWith(settings);
    const entry = { car: input.car, driver: input.driver, supply: supplyOf(input, plan, settings) };
    const spinS = (change: Partial<Conditions>): number => {
      const conditions = { ...AS_PLANNED, ...change };
      const loop = new ClosedLoop({
        ...under(entry, conditions),
        settings,
        controller: rigWith(flash),
        script: launchScript(settings, conditions),
      });
      return drive(loop, { until: { distanceM: QUARTER_MILE_M } }).spin.spin.overS;
    };
    expect(own.grip.value).toBeGreaterThanOrEqual(input.hold.gripLoss);
    expect(spinS({ gripShare: 1 - own.grip.value })).toBe(0);
    expect(spinS({ lateS: own.late.value })).toBe(0);
    const { batteryV, batteryLowV, batteryHighV } = input.lags;
    for (const edge of [batteryLowV, batteryHighV])
      expect(spinS({ gripShare: 1 - input.hold.gripLoss, batteryV: edge - batteryV })).toBe(0);
    expect(own.battery).toEqual({ lowV: batteryLowV, highV: batteryHighV, lowHolds: true, highHolds: true });
    expect(own.grip.failed).toBe(true);
    const beyond = [0.025, 0.05].map((more) => spinS({ gripShare: 1 - own.grip.value - more }));
    expect(Math.max(...beyond)).toBeGreaterThan(0);
    expect(Math.abs(proof.medianS - plan.runs.planned.quarterS)).toBeLessThan(ALL ? 0.1 : 0.5);
    expect(proof.lowS).toBeLessThanOrEqual(proof.medianS);
    const said = planSections(plan).find(({ id }) => id === "proof")!;
    expect(JSON.stringify(said)).toContain(`"${batteryLowV.toFixed(1)} to ${batteryHighV.toFixed(1)} V"`);
    expect(JSON.stringify(said)).toContain(`-${(100 * own.grip.value).toFixed(1).replace(/\.0$/u, "")} %`);
  });
});
