/** The bottle: pressure after a soak against computed rows, mass and energy kept, cooling in the right direction. */
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import {
  type Bottle,
  contentAt,
  discharge,
  heaterTimeS,
  runsOfAFill,
  soakedPressure,
} from "#host/plan/nitrous/bottle.ts";
import { internalEnergyJKg, vesselAt } from "#host/plan/nitrous/states.ts";
import { runs } from "../../../support/effort.ts";
import { json } from "../reference.ts";

const bottle: Bottle = { volumeM3: 4.536 / 680, chargeKg: 4.536, metalKg: 7, heaterW: 300 };
const PSI = 6894.757;

describe("soak (computed from the equation of state by another program)", () => {
  test.each<{ T_C: number; p_psia: number; state: string }>(
    json("trade-practice.json").computed.liquid_full.rows,
  )("$T_C C", (row) => {
    const soaked = soakedPressure(bottle, bottle.chargeKg, row.T_C + 273.15);
    expect(soaked.pressurePa / PSI).toBeCloseTo(row.p_psia, 0);
    expect(soaked.singlePhase).toBe(row.state.startsWith("single"));
  });
});

describe("discharge", () => {
  const flow = fc.double({ min: 0.01, max: 0.2, noNaN: true });
  const from = { massKg: bottle.chargeKg, content: contentAt(bottle, bottle.chargeKg, 6.2e6) };

  test.prop([flow], runs(15))("keeps mass, cools, and loses pressure", (kgS) => {
    const { samples, usedKg } = discharge(bottle, from, 8, () => kgS);
    expect(usedKg).toBeCloseTo(kgS * 8, 2);
    for (let i = 1; i < samples.length; i++) {
      expect(samples[i]!.temperatureK).toBeLessThanOrEqual(samples[i - 1]!.temperatureK + 1e-6);
      expect(samples[i]!.pressurePa).toBeLessThanOrEqual(samples[i - 1]!.pressurePa + 1);
    }
  });

  test("keeps energy: what is left and what was drawn add up", () => {
    const { samples } = discharge(bottle, from, 10, () => 0.1);
    const energy = (s: { massKg: number; temperatureK: number }) =>
      s.massKg * internalEnergyJKg(vesselAt(s.massKg / bottle.volumeM3, s.temperatureK).state);
    const drawn = samples
      .slice(0, -1)
      .reduce(
        (sum, s) => sum + 0.01 * vesselAt(s.massKg / bottle.volumeM3, s.temperatureK).drawn.enthalpyJKg,
        0,
      );
    const before = energy(samples[0]!);
    expect((energy(samples.at(-1)!) + drawn) / before).toBeCloseTo(1, 3);
  });

  test("stops when the dip tube would draw vapour", () => {
    const { ranDry, samples } = discharge(bottle, from, 100, () => 0.2);
    expect(ranDry).toBe(true);
    expect(samples.at(-1)!.timeS).toBeLessThan(30);
  });

  test("the heater's time undoes the cooling, and every run of a fill ends above the lowest pressure", () => {
    const runs = runsOfAFill(bottle, 6.2e6, 5.3e6, 8, () => 0.06);
    expect(runs.length).toBeGreaterThan(3);
    for (const run of runs) expect(run.endPa).toBeGreaterThanOrEqual(5.3e6);
    const content = contentAt(bottle, 3, 5e6);
    expect(heaterTimeS(bottle, 3, content, 5e6)).toBeLessThan(1);
    expect(heaterTimeS(bottle, 3, content, 6e6)).toBeGreaterThan(60);
  });
});
