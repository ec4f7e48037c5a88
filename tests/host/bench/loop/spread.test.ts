// Conditions of many runs, and what they come to: drawn within the tolerance, repeatable by number, corners complete.

import { readFileSync } from "node:fs";
import { fc, test as property } from "@fast-check/vitest";
import { describe, expect, test } from "vitest";
import { AS_PLANNED, under } from "#host/bench/loop/conditions.ts";
import { quantile, quantiles, tripsByRow, worstOf } from "#host/bench/loop/quantiles.ts";
import { type SpreadRun, spreadRun } from "#host/bench/loop/spread.ts";
import { corners, drawn, USUAL_TOLERANCE } from "#host/bench/loop/tolerance.ts";
import { EIGHTH_MILE_M } from "#host/car/quarter-mile.ts";
import { coreModuleFile } from "../../../support/core-module.ts";
import { demoEntry, flashWith } from "../../../support/driven.ts";

const run = (number: number, changes: Partial<SpreadRun> = {}): SpreadRun => ({
  run: number,
  conditions: AS_PLANNED,
  worstSlip: 0.05,
  overPeakS: 0,
  trips: [],
  ...changes,
});

property.prop([fc.nat(), fc.nat(1e6)])(
  "conditions lie within the tolerance and depend on seed and number",
  (seed, n) => {
    const c = drawn(USUAL_TOLERANCE, seed, n);
    expect(Math.abs(c.gripShare - 1)).toBeLessThanOrEqual(USUAL_TOLERANCE.gripShare);
    expect(Math.abs(c.flowShare - 1)).toBeLessThanOrEqual(USUAL_TOLERANCE.flowShare);
    expect(Math.abs(c.valveShare - 1)).toBeLessThanOrEqual(USUAL_TOLERANCE.valveShare);
    expect(Math.abs(c.bottlePa)).toBeLessThanOrEqual(USUAL_TOLERANCE.bottlePa);
    expect(c.batteryV).toBeGreaterThanOrEqual(-USUAL_TOLERANCE.batteryDownV);
    expect(c.batteryV).toBeLessThanOrEqual(USUAL_TOLERANCE.batteryUpV);
    expect(c.lateS).toBeGreaterThanOrEqual(0);
    expect(c.lateS).toBeLessThanOrEqual(USUAL_TOLERANCE.lateS);
    expect(drawn(USUAL_TOLERANCE, seed, n)).toEqual(c);
  },
);

describe("corners", () => {
  test("are the plan and every pair of ends", () => {
    const all = corners(USUAL_TOLERANCE);
    expect(all).toHaveLength(1 + 2 ** 6);
    expect(new Set(all.map((c) => JSON.stringify(c))).size).toBe(all.length);
    expect(all[0]).toEqual({ ...AS_PLANNED, noiseMv: USUAL_TOLERANCE.noiseMv });
    for (const c of all.slice(1)) expect([0.9, 1.1]).toContain(Math.round(c.gripShare * 100) / 100);
  });

  test("leave out what has no tolerance", () => {
    expect(corners({ ...USUAL_TOLERANCE, lateS: 0, flowShare: 0 })).toHaveLength(1 + 2 ** 4);
  });
});

property.prop([fc.array(fc.double({ min: -1e6, max: 1e6, noNaN: true }), { minLength: 1 })])(
  "quantiles rise from the least to the most",
  (values) => {
    const found = quantiles(values);
    expect(found[0]).toBe(Math.min(...values) + 0);
    expect(found.at(-1)).toBe(Math.max(...values) + 0);
    found.slice(1).forEach((v, i) => {
      expect(v).toBeGreaterThanOrEqual(found[i]! - 1e-6);
    });
  },
);

test("a median lies between its neighbours; nothing has none", () => {
  expect(quantile([4, 1, 3, 2], 0.5)).toBe(2.5);
  expect(quantile([], 0.5)).toBeUndefined();
});

test("trips are counted by row, once a run; the worst run spins longest", () => {
  const runs = [
    run(0, { trips: ["A"], worstSlip: 0.5 }),
    run(1, { trips: ["B", "A"], overPeakS: 0.2 }),
    run(2, { overPeakS: 0.1 }),
  ];
  expect(tripsByRow(runs)).toEqual([
    { id: "A", runs: 2 },
    { id: "B", runs: 1 },
  ]);
  expect(worstOf(runs)?.run).toBe(1);
  expect(worstOf([])).toBeUndefined();
});

test("other conditions change grip, bottle, flow, valves and battery, and nothing else", () => {
  const entry = demoEntry();
  const changed = under(entry, {
    ...AS_PLANNED,
    gripShare: 0.9,
    bottlePa: -1e5,
    flowShare: 1.1,
    valveShare: 1.2,
    batteryV: -1.5,
  });
  expect(changed.supply.batteryV).toBeCloseTo(entry.supply.batteryV - 1.5);
  expect(changed.car.grip.curve[0]![1]).toBeCloseTo(entry.car.grip.curve[0]![1] * 0.9);
  expect(changed.supply.bottlePa).toBeCloseTo(entry.supply.bottlePa - 1e5);
  const [stage, planned] = [changed.supply.stages[0]!, entry.supply.stages[0]!];
  expect(stage.addedW).toBeCloseTo(planned.addedW * 1.1);
  expect(stage.nitrousValve.closingS).toBeCloseTo(planned.nitrousValve.closingS * 1.2);
  expect(under(entry, AS_PLANNED)).toMatchObject({ car: entry.car, supply: entry.supply });
});

describe("the battery", () => {
  const entry = demoEntry();
  const module = new WebAssembly.Module(new Uint8Array(readFileSync(coreModuleFile())));
  const car = { driven: entry, settings: entry.settings, module, flash: flashWith(entry.settings) };
  const at = (volts: number): SpreadRun => {
    const conditions = { ...AS_PLANNED, batteryV: volts - entry.supply.batteryV };
    const until = { distanceM: EIGHTH_MILE_M };
    const listed = [conditions];
    return spreadRun(car, { seed: 1, runs: 1, tolerance: USUAL_TOLERANCE, corners: false, until, listed }, 0);
  };

  test("is what the valves and the supply's check have: nothing flows below the settings' lowest", () => {
    const [planned, low, dead] = [entry.supply.batteryV, 11.5, 10].map(at);
    expect(dead!.trips).toEqual([]);
    expect(dead!.eighthS).toBeGreaterThan(planned!.eighthS! + 0.05);
    expect(low!.eighthS).not.toBe(planned!.eighthS);
    expect(Math.abs(low!.eighthS! - planned!.eighthS!)).toBeLessThan(0.1);
  });
});

test("a run depends on its number alone, not on those before it", () => {
  const entry = demoEntry();
  const module = new WebAssembly.Module(new Uint8Array(readFileSync(coreModuleFile())));
  const car = { driven: entry, settings: entry.settings, module, flash: flashWith(entry.settings) };
  const plan = {
    seed: 3,
    runs: 9,
    tolerance: USUAL_TOLERANCE,
    corners: false,
    until: { distanceM: 60 },
  };
  const alone = spreadRun(car, plan, 5);
  spreadRun(car, plan, 2);
  expect(spreadRun(car, plan, 5)).toEqual(alone);
  expect(spreadRun(car, { ...plan, seed: 4 }, 5).sixtyFeetS).not.toBe(alone.sixtyFeetS);
});
