/** The supply in motion: valves against the host's own account of pulses, bottle and fuel against their lines, power against flow. */
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { openShare, openStretches } from "#host/bench/valve-flow.ts";
import { createSupply } from "#host/car/supply.ts";
import { ASSUMED_LAGS, type StageSupply, type SupplyData } from "#host/car/supply-data.ts";
import { createValve, openingS } from "#host/car/valve.ts";
import { runs } from "../../support/effort.ts";

const VALVE = { opening10VS: 0.014, opening12VS: 0.011, opening14VS: 0.009, closingS: 0.008 };
const WET: StageSupply = {
  addedW: 60e3,
  nitrousKgS: 0.04,
  fuelKgS: 0.005,
  nitrousValve: VALVE,
  fuelValve: VALVE,
};
const STEP_S = 0.001;

function supplyOf(change: Partial<SupplyData> = {}): SupplyData {
  return {
    ...ASSUMED_LAGS,
    stages: [WET],
    bottlePa: 6.5e6,
    bottleOverDrawn: [
      [0, 1],
      [1, 0.5],
    ],
    flowOverBottle: [
      [3e6, 0.5],
      [6.5e6, 1],
    ],
    powerOverBottle: [
      [3e6, 0.5],
      [6.5e6, 1],
    ],
    fuelPa: 3e5,
    ...change,
  };
}

/** A supply whose pins are all high for a time, s. */
function flowing(data: SupplyData, timeS: number) {
  const supply = createSupply(data);
  for (const stage of supply.stages) [stage.nitrousOn, stage.fuelOn] = [1, 1];
  for (let k = 0; k < timeS / STEP_S; k++) supply.step(STEP_S);
  return supply;
}

describe("valve", () => {
  test.prop(
    [
      fc.array(
        fc.tuple(
          fc.double({ min: 0.002, max: 0.06, noNaN: true }),
          fc.double({ min: 0.002, max: 0.06, noNaN: true }),
        ),
        {
          minLength: 1,
          maxLength: 12,
        },
      ),
    ],
    runs(50),
  )("is open when the edges of its pin say so, wherever they fall within steps", (pulses) => {
    const edges: { startNs: number; widthNs: number }[] = [];
    let atS = 0.01;
    for (const [pauseS, widthS] of pulses) {
      edges.push({ startNs: (atS + pauseS) * 1e9, widthNs: widthS * 1e9 });
      atS += pauseS + widthS;
    }
    const stretches = openStretches(edges, () => openingS(VALVE, 13) * 1e9, VALVE.closingS * 1e9);
    const valve = createValve(VALVE);
    const endS = Math.ceil((atS + 0.02) / STEP_S) * STEP_S;
    let open = 0;
    for (let k = 0; k < Math.round(endS / STEP_S); k++) {
      const [from, to] = [k * STEP_S * 1e9, (k + 1) * STEP_S * 1e9];
      const on = edges.reduce(
        (sum, e) => sum + Math.max(0, Math.min(to, e.startNs + e.widthNs) - Math.max(from, e.startNs)),
        0,
      );
      open += valve.step(STEP_S, on / (to - from), 13) * STEP_S;
    }
    expect(open).toBeCloseTo(openShare(stretches, 0, endS * 1e9) * endS, 6);
  });

  test("opens later on a low battery", () => {
    expect(
      [9, 10, 11, 12, 13, 14, 15].map((volts) => Math.round(openingS(VALVE, volts) * 1e6) / 1e6),
    ).toEqual([0.014, 0.014, 0.0125, 0.011, 0.01, 0.009, 0.009]);
  });
});

describe("supply", () => {
  test("adds its full power after delays and lags, and nothing before the valves have opened", () => {
    expect(flowing(supplyOf({ bottleOverDrawn: [[0, 1]] }), 0.009).addedW).toBe(0);
    const supply = flowing(supplyOf({ bottleOverDrawn: [[0, 1]] }), 0.5);
    expect(supply.addedW / WET.addedW).toBeCloseTo(1, 3);
    expect(supply.nitrousKgS).toBeCloseTo(WET.nitrousKgS, 9);
    expect(supply.fuelPa).toBeCloseTo(3e5 - ASSUMED_LAGS.fuelDroopPa, -1);
    expect(supply.batteryV).toBeCloseTo(ASSUMED_LAGS.batteryV - 2 * ASSUMED_LAGS.dropVPerSolenoid, 9);
  });

  test("half of the power is there after opening, way and lag together", () => {
    const supply = createSupply(supplyOf({ bottleOverDrawn: [[0, 1]] }));
    const [stage] = supply.stages;
    [stage!.nitrousOn, stage!.fuelOn] = [1, 1];
    let timeS = 0;
    for (; supply.addedW < WET.addedW / 2; timeS += STEP_S) supply.step(STEP_S);
    expect(timeS).toBeGreaterThan(0.009 + 0.02 + 0.005);
    expect(timeS).toBeLessThan(0.012 + 0.02 + 0.035);
  });

  test("draws the bottle down, and pressure, flow and power with it", () => {
    const supply = flowing(supplyOf(), 5);
    expect(supply.drawnKg).toBeGreaterThan(0.15);
    expect(supply.drawnKg).toBeLessThan(0.2);
    expect(supply.bottlePa).toBeCloseTo(6.5e6 * (1 - 0.5 * supply.drawnKg), 0);
    expect(supply.nitrousKgS).toBeLessThan(WET.nitrousKgS);
    expect(supply.addedW).toBeLessThan(0.99 * WET.addedW);
  });

  test("a wet stage whose fuel valve stays shut adds nothing; a dry stage needs none", () => {
    const wet = createSupply(supplyOf());
    wet.stages[0]!.nitrousOn = 1;
    const dry = createSupply(supplyOf({ stages: [{ ...WET, fuelKgS: 0, fuelValve: undefined }] }));
    dry.stages[0]!.nitrousOn = 1;
    for (let k = 0; k < 500; k++) {
      wet.step(STEP_S);
      dry.step(STEP_S);
    }
    expect(wet.nitrousKgS).toBeGreaterThan(0);
    expect(wet.addedW).toBe(0);
    expect(dry.addedW).toBeGreaterThan(0.9 * WET.addedW);
  });
});
