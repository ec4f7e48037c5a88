/** Saturation line against the computed table, the NIST Chemistry WebBook and published fixed points. */
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { CRITICAL, pressureAt, stateAt } from "#host/plan/nitrous/equation-of-state.ts";
import { SaturationRangeError, saturationAt, saturationTemperatureK } from "#host/plan/nitrous/saturation.ts";
import { csv, json, num } from "../reference.ts";

const PSI = 6894.757;
const checks = json("n2o-checks.json");

describe("computed table (CoolProp 8.0.0 agrees with it to 1e-12)", () => {
  test.each(csv("n2o-saturation.csv"))("$T_C C", (row) => {
    const sat = saturationAt(num(row, "T_K"));
    const near = (value: number, column: string, scale: number) =>
      expect(value / (num(row, column) * scale)).toBeCloseTo(1, 5);
    near(sat.pressurePa, "p_sat_kPa", 1e3);
    near(sat.liquid.densityKgM3, "rho_l_kg_m3", 1);
    near(sat.vapour.densityKgM3, "rho_v_kg_m3", 1);
    near(sat.liquid.enthalpyJKg, "h_l_kJ_kg", 1e3);
    near(sat.vapour.enthalpyJKg, "h_v_kJ_kg", 1e3);
    near(sat.liquid.entropyJKgK, "s_l_kJ_kgK", 1e3);
    near(sat.vapour.entropyJKgK, "s_v_kJ_kgK", 1e3);
  });
});

describe("published", () => {
  test("NIST Chemistry WebBook rows, -30 to 35 C, to their printed digits", () => {
    for (const row of checks.nist_webbook_saturation_by_T.rows) {
      const sat = saturationAt(row.T_C + 273.15);
      expect(Math.abs(sat.pressurePa / PSI / row.p_psia - 1)).toBeLessThan(5e-5);
      expect(Math.abs(sat.liquid.densityKgM3 / row.rho_l - 1)).toBeLessThan(1e-4);
      expect(Math.abs(sat.vapour.densityKgM3 / row.rho_v - 1)).toBeLessThan(1e-4);
    }
  });

  test("measured triple-point pressure (Fonseca and Lobo 1989) within the equation's 0.1 %", () => {
    const measured = checks.fixed_points.triple_point.p_measured_Pa[0];
    expect(Math.abs(saturationAt(182.33).pressurePa / measured - 1)).toBeLessThan(1e-3);
  });

  test("normal boiling point 184.67 to 184.68 K", () => {
    expect(saturationTemperatureK(101_325)).toBeCloseTo(184.68, 1);
  });

  test("the customary 1050 psi gauge lies beyond the critical point, 1036 psi gauge", () => {
    expect((CRITICAL.pressurePa - 101_325) / PSI).toBeCloseTo(1036.1, 1);
    expect(() => saturationTemperatureK(1050 * PSI + 101_325)).toThrow(SaturationRangeError);
  });
});

describe("the line itself", () => {
  const kelvin = fc.double({ min: 182.4, max: 309.5, noNaN: true });

  test.prop([kelvin])("pressure gives the temperature back", (t) => {
    expect(saturationTemperatureK(saturationAt(t).pressurePa)).toBeCloseTo(t, 5);
  });

  test.prop([kelvin])("both phases have the same pressure and Gibbs energy by the equation", (t) => {
    const { liquid, vapour } = saturationAt(t);
    const gibbs = (rho: number) => stateAt(t, rho).enthalpyJKg - t * stateAt(t, rho).entropyJKgK;
    expect(pressureAt(t, vapour.densityKgM3).pressurePa / liquid.pressurePa).toBeCloseTo(1, 4);
    expect(Math.abs(gibbs(liquid.densityKgM3) - gibbs(vapour.densityKgM3))).toBeLessThan(5);
  });

  test.prop([kelvin, kelvin])("pressure rises with temperature, liquid gets lighter", (a, b) => {
    const [cold, warm] = [Math.min(a, b), Math.max(a, b)].map(saturationAt);
    expect(warm!.pressurePa).toBeGreaterThanOrEqual(cold!.pressurePa);
    expect(warm!.liquid.densityKgM3).toBeLessThanOrEqual(cold!.liquid.densityKgM3);
  });

  test.each([182, 310, Number.NaN])("%s K is refused", (t) => {
    expect(() => saturationAt(t)).toThrow(SaturationRangeError);
  });
});
