/** The standard atmosphere against vehicle-dynamics.json (sources stand there). */
import { describe, expect, test } from "vitest";
import { airAt, geopotentialM } from "#host/plan/engine/atmosphere.ts";
import { json } from "../reference.ts";

const data = json("vehicle-dynamics.json");

describe("standard atmosphere (ISO 2533)", () => {
  test.each<{ H_geopotential_m: number; T_K: number; p_Pa: number; rho_kg_m3: number }>(
    data.standard_atmosphere.computed,
  )("$H_geopotential_m m", (row) => {
    const air = airAt(row.H_geopotential_m);
    expect(air.temperatureK).toBeCloseTo(row.T_K, 6);
    expect(air.pressurePa / row.p_Pa).toBeCloseTo(1, 5);
    expect(air.densityKgM3).toBeCloseTo(row.rho_kg_m3, 4);
  });

  test("3000 m geometric, as an independent library gives it", () => {
    const published = data.standard_atmosphere.check.geometric_3000_m;
    const air = airAt(geopotentialM(3000));
    expect(air.pressurePa / published.p_Pa).toBeCloseTo(1, 5);
    expect(air.densityKgM3 / published.rho).toBeCloseTo(1, 5);
  });

  test("far outside is refused", () => {
    expect(() => airAt(20_000)).toThrow(RangeError);
  });
});
