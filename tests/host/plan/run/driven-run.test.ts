/** A plan's own run is the controller's: beside the control core on its rig it is as quick, waits as long after a gear change, and spins where it spins. */
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { ClosedLoop } from "#host/bench/loop/closed-loop.ts";
import { AS_PLANNED, type Conditions, under } from "#host/bench/loop/conditions.ts";
import { drive } from "#host/bench/loop/drive.ts";
import { quantile } from "#host/bench/loop/quantiles.ts";
import { launchScript } from "#host/bench/loop/script.ts";
import { spreadRun } from "#host/bench/loop/spread.ts";
import { USUAL_TOLERANCE } from "#host/bench/loop/tolerance.ts";
import { drivenShare } from "#host/car/axle.ts";
import { QUARTER_MILE_M } from "#host/car/quarter-mile.ts";
import { loadMoved, tyreLimitN } from "#host/car/settled/traction.ts";
import { CORE, type Entry, flashWith, plannedEntry, rigWith } from "../../../support/driven.ts";
import { ALL, sample } from "../../../support/effort.ts";
import { testCar } from "../cars.ts";
import { TWELVE_CARS } from "../twelve-cars.ts";

/** Its second stage opens later than the first. */
const PICKUP = {
  name: "pickup",
  text: readFileSync(new URL("../../../reference/cars/pickup.yaml", import.meta.url), "utf8"),
};
/** Its first stage goes off at a boost, and comes on again after gear changes. */
const BOOSTED = {
  name: "a stage for the boost",
  text: `engine: {power: 211 kW, power-at: 6500 rpm, rev-limiter: 7000 rpm, cylinders: 4, boost: 20 psi, torque-curve: [[1500 rpm, 200 Nm], [3000 rpm, 380 Nm], [4500 rpm, 400 Nm], [6500 rpm, 310 Nm], [7000 rpm, 280 Nm]]}
car: {mass: 1400 kg, driven: all}
fuel: {pump-flow: 400 L/h, pressure: 65 psi}
tyres: {friction: 1.4, reserve: 10 %}
controls: {road-pulses: 4000 pulses/km}
goal: {added-power: 70 hp, purposes: [boost, run], parts: [60 %, 40 %], ramp: road-speed}
`,
};
const CARS = [...sample(TWELVE_CARS, 12), PICKUP, BOOSTED];
const UNTIL = { distanceM: QUARTER_MILE_M };
const RUNS = 9;

function driven(entry: Entry, change: Partial<Conditions> = {}) {
  const conditions = { ...AS_PLANNED, ...change };
  const loop = new ClosedLoop({
    ...under(entry, conditions),
    settings: entry.settings,
    controller: rigWith(flashWith(entry.settings)),
    script: launchScript(entry.settings, conditions),
  });
  const waits: number[] = [];
  // Arming tries every driver: what opens before the car goes is not flow.
  const openedRpm = loop.supply.stages.map((): number[] => []);
  const flowed = loop.supply.stages.map(() => false);
  let wide = Number.NaN;
  let mostPa = Number.NEGATIVE_INFINITY;
  const done = drive(loop, {
    until: UNTIL,
    watch: ({ motion, supply, nowS }) => {
      if (motion.pedal < 0.9) wide = Number.NaN;
      else if (motion.pedal >= 0.95 && Number.isNaN(wide)) wide = nowS;
      const offPa = entry.plan.stages[0]!.offPa ?? Number.POSITIVE_INFINITY;
      if (supply.stages[0]!.nitrousOpen > 0) mostPa = Math.max(mostPa, motion.manifoldPa - offPa);
      for (const [s, stage] of supply.stages.entries()) {
        const flowing = motion.going && stage.nitrousOn > 0;
        if (flowing && !flowed[s]) openedRpm[s]!.push(motion.engineRpm);
        flowed[s] = flowing || (flowed[s]! && motion.pedal >= 0.9);
      }
      const flows = supply.stages.some((stage) => stage.nitrousOpen > 0);
      if (flows && motion.gear > 0 && wide > 0) {
        waits.push(nowS - wide);
        wide = Number.NEGATIVE_INFINITY;
      }
    },
  });
  return { quarterS: done.timer.slip.quarter!.timeS, spinS: done.spin.spin.overS, waits, openedRpm, mostPa };
}

describe("beside the control core", () => {
  test.each(CARS)("$name: planned time and time of the core", ({ text }) => {
    const entry = plannedEntry(text);
    const { plan } = entry;
    const { quarterS, waits, openedRpm, mostPa } = driven(entry);
    // As far as the boost rises while the sensor is filtered and the valve shuts.
    expect(mostPa).toBeLessThan(5000);
    // Its hysteresis of 100 rpm, and what the engine falls while pulses are counted.
    for (const [s, { openRpm }] of plan.stages.entries())
      for (const rpm of openedRpm[s]!) expect(rpm).toBeGreaterThan(openRpm - 160);
    expect(Math.abs(plan.runs.planned.quarterS - quarterS)).toBeLessThan(0.06);
    const shut = plan.trace.map((row, i) => (plan.trace[i - 1]?.gear ?? 0) < row.gear);
    expect(shut.filter(Boolean).length).toBeGreaterThan(0);
    for (const wait of waits) expect(wait).toBeGreaterThan(0.13);
  });

  test.runIf(ALL).each(CARS)("$name: planned time and the median of a spread", ({ text }) => {
    const entry = plannedEntry(text);
    const { plan, settings } = entry;
    const spread = { seed: 1, runs: RUNS, tolerance: USUAL_TOLERANCE, corners: false, until: UNTIL };
    const car = { driven: entry, settings, module: CORE, flash: flashWith(settings) };
    const times = Array.from({ length: RUNS }, (_, n) => spreadRun(car, spread, n).quarterS!);
    expect(Math.abs(quantile(times, 0.5)! - plan.runs.planned.quarterS)).toBeLessThan(0.1);
  });
});

describe("a standing car", () => {
  test("has no load moved to its driven wheels: friction times the load at rest, by hand; later all of it", () => {
    const car = testCar();
    const atRest = 1.1 * drivenShare(car) * car.massKg * 9.80665;
    expect(tyreLimitN(car, 1.1, 0, loadMoved(car, 0)) / atRest).toBeCloseTo(1, 9);
    expect(tyreLimitN(car, 1.1, 0, loadMoved(car, 2)) / tyreLimitN(car, 1.1, 0)).toBeCloseTo(1, 4);
    expect(tyreLimitN(car, 1.1, 0, loadMoved(car, 0.15))).toBeGreaterThan(atRest * 1.05);
  });

  test("front-driven loses load at once", () => {
    const car = testCar({ driven: "front" });
    expect(tyreLimitN(car, 1.1, 0, 0)).toBe(tyreLimitN(car, 1.1, 0));
  });
});
