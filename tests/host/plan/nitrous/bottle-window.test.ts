/** What a bottle sends into the line: boiling liquid, or pressed liquid once it is full; held against tables that another program computed. */
import { describe, expect, test } from "vitest";
import type { Bottle } from "#host/plan/nitrous/bottle.ts";
import { flowOverWindow, fullInlet, inletsAt } from "#host/plan/nitrous/bottle-window.ts";
import { blendedFlux, saturatedInlet } from "#host/plan/nitrous/flow.ts";
import { saturationTemperatureK } from "#host/plan/nitrous/saturation.ts";
import { csv, json, num } from "../reference.ts";

const PSI = 6894.757;
const AIR = 101_325;
/** At the legal fill: 680 kg/m3. */
const full: Bottle = { volumeM3: 4.536 / 680, chargeKg: 4.536, metalKg: 7, heaterW: 300 };
const gauge = (psi: number) => psi * PSI + AIR;
const boiling = (psi: number) => blendedFlux(saturatedInlet(saturationTemperatureK(gauge(psi))), AIR);
const drawn = (psi: number) => blendedFlux(fullInlet(full, gauge(psi)), AIR);

/** Temperature, C, at which the saturated liquid has a density, from the table, by a straight line between its rows. */
function liquidFullC(densityKgM3: number): number {
  const rows = csv("n2o-saturation.csv").map((row) => [num(row, "T_C"), num(row, "rho_l_kg_m3")] as const);
  const i = rows.findIndex(([, density]) => density < densityKgM3);
  const [[t0, d0], [t1, d1]] = [rows[i - 1]!, rows[i]!];
  return t0 + ((t1 - t0) * (d0 - densityKgM3)) / (d0 - d1);
}

describe("a bottle at the legal fill", () => {
  test("is full of liquid from the temperature at which the table's liquid has its density", () => {
    const { T_liquid_full_C: published } = json("trade-practice.json").computed.liquid_full;
    expect(liquidFullC(680)).toBeCloseTo(published, 1);
    expect(fullInlet(full, gauge(912)).state.temperatureK - 273.15).toBeCloseTo(published, 1);
  });

  test("boils below that, and draws what a saturated bottle does", () => {
    for (const psi of [500, 700, 900]) {
      expect(drawn(psi) / boiling(psi)).toBeCloseTo(1, 6);
      expect(inletsAt(full, gauge(psi))).toHaveLength(1);
    }
  });

  test("at 36 C stands at 1167 psi: some 48 psi a degree from 30.6 C on, as computed elsewhere", () => {
    const rows = json("trade-practice.json").computed.liquid_full.rows as { T_C: number; p_psig: number }[];
    const hot = fullInlet(full, gauge(1167)).state;
    expect(hot.temperatureK - 273.15).toBeCloseTo(36, 1);
    expect(hot.densityKgM3).toBeCloseTo(680, 0);
    const [a, b] = [rows.find((r) => r.T_C === 35)!, rows.find((r) => r.T_C === 40)!];
    expect(a.p_psig + (b.p_psig - a.p_psig) / 5).toBeCloseTo(1167, -1);
  });

  test("flows 23 % more there than boiling liquid of 36 C would, and 7 % more at a stated 1000 psi", () => {
    const at36 = boiling(1028);
    expect(drawn(1167) / at36).toBeGreaterThan(1.2);
    expect(drawn(1167) / at36).toBeLessThan(1.26);
    expect(drawn(1000) / boiling(1000)).toBeCloseTo(1.07, 2);
  });

  test("the pressed liquid's flow lies between single-phase flow of the pressure above boiling, and of all of it", () => {
    for (const psi of [950, 1000, 1050, 1100]) {
      const { state, vapourPa } = fullInlet(full, gauge(psi));
      const single = (dropPa: number) => Math.sqrt(2 * 680 * dropPa);
      expect(drawn(psi)).toBeGreaterThan(single(state.pressurePa - vapourPa));
      expect(drawn(psi)).toBeLessThan(single(state.pressurePa - AIR));
    }
  });

  test("one pressure may mean a full or a partly emptied bottle: both count at the edges", () => {
    const pressed = inletsAt(full, gauge(975));
    expect(pressed).toHaveLength(2);
    const over = flowOverWindow(
      full,
      { lowestPa: gauge(675), highestPa: gauge(975), watched: true, given: true },
      gauge(900),
      AIR,
    );
    expect(over.high).toBeCloseTo(drawn(975) / boiling(900), 3);
    expect(over.low).toBeCloseTo(boiling(675) / boiling(900), 3);
  });
});
