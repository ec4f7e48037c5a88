/** The line as a pipe: its drop against Darcy and Weisbach by hand, against a finer march of another kind, and its friction against Colebrook. */
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { chainFlow, holeAreaM2, type Restriction } from "#host/plan/nitrous/chain.ts";
import { compressedInlet, type Inlet, saturatedInlet } from "#host/plan/nitrous/flow.ts";
import { runs } from "../../../support/effort.ts";
import { goalOf } from "../cars.ts";
import { planOf } from "../planned.ts";
import { csv, num } from "../reference.ts";

const PSI = 6894.757;
const AIR = 101_325;
const jet = (mm: number): Restriction => ({
  name: "jet",
  areaM2: holeAreaM2(mm / 1000),
  dischargeCoefficient: 0.75,
});
const line = (lengthM: number, mm: number, factor = 0.016): Restriction => ({
  name: "line",
  areaM2: holeAreaM2(mm / 1000),
  dischargeCoefficient: 1,
  pipe: { lengthM, friction: factor },
});
const through = (pipe: Restriction, inlet: Inlet, jetMm: number) => {
  const { massFlowKgS, steps } = chainFlow([pipe, jet(jetMm)], inlet, AIR);
  return { kgS: massFlowKgS, dropPa: steps[0]!.dropPa };
};
/** f L / D of half the density times the square of the speed. */
const darcy = (kgS: number, density: number, lengthM: number, boreM: number, factor = 0.016) =>
  ((factor * lengthM) / boreM) * 0.5 * density * (kgS / density / holeAreaM2(boreM)) ** 2;

/** Columns of the saturation table between its rows, by straight lines. */
function tableAt(pressurePa: number) {
  const rows = csv("n2o-saturation.csv");
  const i = rows.findIndex((row) => num(row, "p_sat_kPa") * 1e3 > pressurePa);
  const [a, b] = [rows[i - 1]!, rows[i]!];
  const u = (pressurePa / 1e3 - num(a, "p_sat_kPa")) / (num(b, "p_sat_kPa") - num(a, "p_sat_kPa"));
  return (column: string) => num(a, column) + u * (num(b, column) - num(a, column));
}

/** The same drop by a thousand small steps over tabled properties: homogeneous, at the enthalpy of the bottle. */
function marched(inlet: Inlet, kgS: number, lengthM: number, boreM: number, factor = 0.016): number {
  let pressurePa = inlet.state.pressurePa;
  const enthalpy = tableAt(pressurePa)("h_l_kJ_kg");
  for (let i = 0; i < 1000; i++) {
    const at = tableAt(pressurePa);
    const quality = Math.max(0, (enthalpy - at("h_l_kJ_kg")) / (at("h_v_kJ_kg") - at("h_l_kJ_kg")));
    const volume = (1 - quality) / at("rho_l_kg_m3") + quality / at("rho_v_kg_m3");
    pressurePa -= darcy(kgS, 1 / volume, lengthM / 1000, boreM, factor);
  }
  return inlet.state.pressurePa - pressurePa;
}

describe("the line", () => {
  test("4.3 m of 4.8 mm lose some 55 psi at 109 g/s, as Darcy and Weisbach say for liquid", () => {
    const byHand = darcy(0.109, 688, 4.3, 0.0048) / PSI;
    expect(byHand).toBeGreaterThan(50);
    expect(byHand).toBeLessThan(60);
    const { kgS, dropPa } = through(line(4.3, 4.8), compressedInlet(9e6, 288), 2.05);
    expect(kgS).toBeGreaterThan(0.09);
    const liquid = darcy(kgS, compressedInlet(9e6, 288).state.densityKgM3, 4.3, 0.0048);
    expect(Math.abs(dropPa / liquid - 1)).toBeLessThan(0.01);
  });

  test.each([285, 295, 301])(
    "boiling at %i K it agrees with a fine march over tabled properties within 3 %%",
    (t) => {
      const inlet = saturatedInlet(t);
      const { kgS, dropPa } = through(line(4, 4.8), inlet, 1.8);
      expect(dropPa / marched(inlet, kgS, 4, 0.0048)).toBeGreaterThan(0.97);
      expect(dropPa / marched(inlet, kgS, 4, 0.0048)).toBeLessThan(1.03);
    },
  );

  test("its friction is that of a drawn tube by Colebrook at such flows (viscosity and roughness from memory)", () => {
    const reynolds = (4 * 0.109) / (Math.PI * 0.0048 * 60e-6);
    let f = 0.02;
    for (let i = 0; i < 30; i++)
      f = (-2 * Math.log10(1.5e-6 / 0.0048 / 3.7 + 2.51 / (reynolds * Math.sqrt(f)))) ** -2;
    expect(f).toBeCloseTo(0.016, 3);
  });

  const length = fc.double({ min: 0.5, max: 8, noNaN: true });
  test.prop([length, length], runs(12))("a longer line passes less and drops more", (a, b) => {
    const [short, long] = [Math.min(a, b), Math.max(a, b) + 0.1].map((m) =>
      through(line(m, 4.8), saturatedInlet(300), 1.6),
    ) as [ReturnType<typeof through>, ReturnType<typeof through>];
    expect(long.kgS).toBeLessThan(short.kgS);
    expect(long.dropPa).toBeGreaterThan(short.dropPa);
  });

  test("stands in the plan: a longer line takes a larger jet for the same power, and length and friction are assumptions", () => {
    const planned = (nitrous: string) => planOf({ goal: goalOf(200), nitrous });
    const [short, long] = [planned("{line-length: 0.5 m}"), planned("{line-length: 7 m, line-bore: 4.8 mm}")];
    const drop = (plan: typeof short) => plan.sizing.steps.find((step) => step.name === "line")!.dropPa / PSI;
    expect(drop(short)).toBeLessThan(10);
    expect(drop(long)).toBeGreaterThan(40);
    expect(long.stages[0]!.nitrousJetM).toBeGreaterThan(short.stages[0]!.nitrousJetM);
    const keys = short.assumptions.map((a) => a.key);
    expect(keys).toContain("nitrous.line-friction");
    expect(keys).not.toContain("nitrous.line-length");
  });
});
