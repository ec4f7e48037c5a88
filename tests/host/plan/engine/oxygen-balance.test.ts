/** Oxygen balance against chem.json: derived values there, and the published AFDC and Merck figures it quotes. */
import { describe, expect, test } from "vitest";
import { FUELS } from "#host/plan/engine/fuels.ts";
import {
  AIR_OXYGEN_SHARE,
  airPerKg,
  DECOMPOSITION_HEAT_J_KG,
  molarMassGMol,
  NITROUS_OXYGEN_SHARE,
  nitrousPerKg,
  oxygenPerKg,
} from "#host/plan/engine/oxygen-balance.ts";
import { json } from "../reference.ts";

const chem = json("chem.json");
const { fuels, E85 } = chem.stoichiometry;

describe("oxygen balance", () => {
  test.each(Object.keys(fuels))("%s", (name) => {
    const fuel = fuels[name];
    const oxygen = oxygenPerKg(fuel);
    expect(molarMassGMol(fuel)).toBeCloseTo(fuel.M_g_mol, 3);
    expect(oxygen).toBeCloseTo(fuel.O2_kg_per_kg, 4);
    expect(airPerKg(oxygen)).toBeCloseTo(fuel.air_kg_per_kg, 2);
    expect(nitrousPerKg(oxygen)).toBeCloseTo(fuel.N2O_kg_per_kg, 3);
  });

  test("oxygen in nitrous oxide 36.35 % (Merck Index) and in air", () => {
    expect(NITROUS_OXYGEN_SHARE).toBeCloseTo(0.3635, 4);
    expect(AIR_OXYGEN_SHARE).toBeCloseTo(chem.oxygen_mass_fraction.air_free_O2, 5);
  });

  test("ethanol 9.0 and gasoline 14.7 (US DOE AFDC, a round figure for gasoline)", () => {
    const published = chem.stoichiometry.published_checks["AFDC fuel comparison (US DOE)"];
    expect(airPerKg(FUELS.ethanol.oxygenKgKg)).toBeCloseTo(published["ethanol air/fuel"], 2);
    expect(Math.abs(airPerKg(FUELS.gasoline.oxygenKgKg) / published["gasoline air/fuel"] - 1)).toBeLessThan(
      0.01,
    );
  });

  test("E85 as a blend by volume", () => {
    expect(airPerKg(FUELS.E85.oxygenKgKg)).toBeCloseTo(E85.as_volume_blend.air_kg_per_kg, 1);
    expect(FUELS.E85.densityKgM3).toBeCloseTo(E85.as_volume_blend.density_kg_m3, 0);
  });

  test("decomposition heat from the enthalpy of formation (NASA Glenn)", () => {
    expect(DECOMPOSITION_HEAT_J_KG / 1e6).toBeCloseTo(
      chem.enthalpy_of_formation_298_15K_kJ_mol.N2O_decomposition_heat_MJ_kg,
      3,
    );
  });

  test("what does not burn is refused", () => {
    expect(() => oxygenPerKg({ C: 1, H: 0, O: 2 })).toThrow(RangeError);
  });
});
