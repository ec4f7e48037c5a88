/** Power and fuel: energy balance against the derived heat of reaction, and the facts of the trade (common practice). */
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import {
  addedInjectorS,
  fuelJetAreaM2,
  fuelJetFlow,
  injectorHeadroom,
  pumpHeadroom,
} from "#host/plan/engine/fuel-system.ts";
import { FUELS } from "#host/plan/engine/fuels.ts";
import { oxygenPerKg } from "#host/plan/engine/oxygen-balance.ts";
import {
  addedPowerW,
  chargeLambda,
  engineFuel,
  fuelForNitrous,
  nitrousForPower,
  retardDeg,
  totalLambda,
} from "#host/plan/engine/power.ts";
import { json } from "../reference.ts";

const fuel = fc.constantFrom(...Object.values(FUELS));
const flow = fc.double({ min: 0.001, max: 1, noNaN: true });
const rich = fc.double({ min: 0.5, max: 1, noNaN: true });
const efficiency = fc.double({ min: 0.15, max: 0.4, noNaN: true });

describe("power", () => {
  test("iso-octane in nitrous oxide frees 6.4575 MJ per kg of it (NASA Glenn enthalpies)", () => {
    const chem = json("chem.json");
    const octane = chem.stoichiometry.fuels["iso-octane"];
    const own = {
      name: "",
      oxygenKgKg: oxygenPerKg(octane),
      heatingValueJKg: octane.LHV_liquid_298_MJ_kg * 1e6,
      densityKgM3: 690,
      source: "",
    };
    const heat = addedPowerW(1, fuelForNitrous(1, own, 1), own, 1) / 1e6;
    expect(heat).toBeCloseTo(chem.energy_yield_reading.MJ_per_kg_N2O, 2);
  });

  test.prop([flow, fuel, rich, efficiency])(
    "nitrous for a power gives that power",
    (power, f, lambda, eta) => {
      const nitrous = nitrousForPower(power * 1e5, f, lambda, eta);
      expect(addedPowerW(nitrous, fuelForNitrous(nitrous, f, lambda), f, eta)).toBeCloseTo(power * 1e5, 3);
    },
  );

  test.prop([flow, flow, fuel, rich])("never less fuel for more nitrous", (a, b, f, lambda) => {
    expect(fuelForNitrous(Math.max(a, b), f, lambda)).toBeGreaterThanOrEqual(
      fuelForNitrous(Math.min(a, b), f, lambda),
    );
  });

  test.prop([flow, fuel, rich])("lambda of the charge comes back", (nitrous, f, lambda) => {
    expect(chargeLambda(nitrous, fuelForNitrous(nitrous, f, lambda), f)).toBeCloseTo(lambda, 9);
  });

  test.prop([flow, flow, fuel, rich, rich])(
    "the whole engine's lambda lies between those of air and nitrous",
    (own, nitrous, f, a, b) => {
      const total = totalLambda(own, a, nitrous, fuelForNitrous(nitrous, f, b), f);
      expect(total).toBeGreaterThanOrEqual(Math.min(a, b) - 1e-9);
      expect(total).toBeLessThanOrEqual(Math.max(a, b) + 1e-9);
    },
  );

  test("about 2 degrees for 50 hp (common practice, no source)", () => {
    expect(retardDeg(50 * 745.7)).toBeCloseTo(2, 3);
  });

  test("a naturally breathing engine burns about 0.5 lb of gasoline a horsepower and hour (common practice, no source)", () => {
    const lbHpH = engineFuel(745.7, FUELS.gasoline, 0.88, 0.3) * 3600 * 2.2046;
    expect(lbHpH).toBeGreaterThan(0.4);
    expect(lbHpH).toBeLessThan(0.6);
  });
});

describe("fuel system", () => {
  const drop = fc.double({ min: 1e4, max: 8e5, noNaN: true });

  test.prop([flow, drop, fuel])("the jet for a flow passes it", (kgS, pa, f) => {
    expect(fuelJetFlow(fuelJetAreaM2(kgS, 0.75, pa, f), 0.75, pa, f)).toBeCloseTo(kgS, 9);
  });

  test("a fuel jet needs pressure above the manifold's", () => {
    expect(fuelJetFlow(1e-6, 0.75, -1, FUELS.gasoline)).toBe(0);
    expect(() => fuelJetAreaM2(0.01, 0.75, 0, FUELS.gasoline)).toThrow(RangeError);
  });

  test("headroom: 4 injectors of 600 cc/min at 85 % duty carry 2040 cc/min", () => {
    const each = 600e-6 / 60;
    expect(
      injectorHeadroom(2040e-6 / 60, each, 4, 0.85, { ...FUELS.gasoline, densityKgM3: 1 }).share,
    ).toBeCloseTo(1, 9);
    expect(pumpHeadroom(0.01, 2e-5, FUELS.gasoline).share).toBeCloseTo(0.01 / (2e-5 * 745), 9);
  });

  test("added injector time: a static injector at 6000 rpm is open for the whole cycle of 20 ms", () => {
    const each = 600e-6 / 60;
    expect(addedInjectorS(4 * each * 745, each, 4, 6000, FUELS.gasoline)).toBeCloseTo(0.02, 9);
  });
});
