// The build sheet: one page with the plan's own numbers, contacts as the circuit has them, and nothing from a network.
import { readFileSync } from "node:fs";
import { beforeAll, describe, expect, test } from "vitest";
import { calibrateJet } from "#host/plan/nitrous/calibrate.ts";
import type { SystemPlan } from "#host/plan/system-plan.ts";
import { buildSheet } from "#host/report/plan/build-sheet.ts";
import { planOfText } from "../../plan/planned.ts";

const DRY = `engine: {power: 200 kW, power-at: 6500 rpm, rev-limiter: 7200 rpm, cylinders: 6}
car: {mass: 1350 kg, driven: rear}
fuel: {ecu-enrichment: yes, injector-flow: 600 cc/min, pump-flow: 255 L/h}
goal: {added-power: 60 hp, system: dry}
tyres: {reserve: 10 %}
`;
let demo: SystemPlan;
let dry: SystemPlan;
beforeAll(() => {
  demo = planOfText(readFileSync("host/demo/street-coupe-car.yaml", "utf8"));
  dry = planOfText(DRY);
}, 30_000);

/** Rows that fit a printed page; the page itself was looked at with a browser. */
const MOST_LINES = 72;
const linesOf = (html: string) => html.match(/<tr>|<p|<h[12]>/gu)!.length;

describe("build sheet", () => {
  test("is short enough for one page, loads nothing, and has a box for each step", () => {
    for (const plan of [demo, dry]) {
      const html = buildSheet(plan);
      expect(linesOf(html)).toBeLessThan(MOST_LINES);
      expect(html).not.toMatch(/(?:src|href)=|<script/u);
      expect(html.match(/class="box"/gu)).toHaveLength(plan.checklist.length);
      expect(html).not.toMatch(/undefined|NaN|Infinity/u);
    }
  });

  test("has contacts for what the controller switches, and only for that, and still fits", () => {
    const text = readFileSync("host/demo/street-coupe-car.yaml", "utf8");
    const all = ["bottle-sensor", "purge", "heater", "bottle-valve"].map((key) => `\n  ${key}: yes`).join("");
    const html = buildSheet(planOfText(text.replace(/^controls:$/mu, `controls:${all}`)));
    const names = [
      "purge valve",
      "purge button",
      "heater relay, behind the heater's own limit",
      "heater switch",
      "remote bottle valve",
    ];
    for (const name of [...names, "bottle valve switch"]) {
      expect(html).toMatch(new RegExp(`<td>${name}</td><td>X\\d\\.\\d+, X\\d\\.\\d+</td>`, "u"));
      expect(buildSheet(demo)).not.toContain(`<td>${name}</td>`);
    }
    expect(linesOf(html)).toBeLessThan(MOST_LINES);
  });

  test("has the reading to expect of each wet stage, and the contacts that wiring.md gives its valves", () => {
    const html = buildSheet(demo);
    const wiring = readFileSync("hardware-notes/wiring.md", "utf8");
    for (const [i, stage] of demo.stages.entries()) {
      const ml = (30 * stage.fuelKgS * 1000) / 0.745;
      expect(html).toContain(`${ml.toFixed(0)} ml`);
      for (const valve of [`nitrous${i + 1}`, `fuel${i + 1}`]) {
        const [, supply] = new RegExp(`\\| (X\\d\\.\\d+) +\\| ${valve}, supply`, "u").exec(wiring)!;
        const [, driver] = new RegExp(`\\| (X\\d\\.\\d+) +\\| ${valve}, to its driver`, "u").exec(wiring)!;
        expect(html).toContain(`<td>${supply}, ${driver}</td>`);
      }
    }
  });

  test("says above which voltage a coil has kicked, and that lamps want other settings", () => {
    expect(buildSheet(demo)).toContain("18.5 V; lamps for coils: load settings without clamps");
  });

  test("the discharge that is weighed is that of the first stage alone: more than it gives beside others", () => {
    const grams = (plan: SystemPlan) => {
      const [, timeS, mass] = /stage 1 alone.*? (\d+) s of flow.*?<td>(\d+) g lighter/su.exec(
        buildSheet(plan),
      )!;
      return Number(mass) / Number(timeS);
    };
    const beside = demo.stages[0]!.nitrousKgS * 1000;
    expect(demo.stages.length).toBeGreaterThan(1);
    expect(grams(demo)).toBeGreaterThan(beside + 0.1);
    expect(grams(demo)).toBeLessThan(1.2 * beside);
    expect(Math.abs(grams(dry) - dry.stages[0]!.nitrousKgS * 1000)).toBeLessThan(0.2);
  });

  test("the discharge is long enough for a calibration that is taken, with a scale of 10 g and a watch of 0.1 s", () => {
    for (const plan of [demo, dry]) {
      const [, timeS, mass] = /stage 1 alone.*? (\d+) s of flow.*?<td>(\d+) g lighter/su.exec(
        buildSheet(plan),
      )!;
      const { nitrousJetM: jetDiameterM, nozzles } = plan.stages[0]!;
      const found = calibrateJet({
        startPa: 60e5,
        endPa: 58e5,
        massBeforeKg: 10,
        massAfterKg: 10 - Number(mass) / 1000,
        openS: Number(timeS),
        jetDiameterM,
        nozzles,
        upstream: [],
        bottle: { chargeKg: 4.5, volumeM3: 0.00667, metalKg: 6.8, heaterW: 300 },
        backPa: 101_325,
        scaleStepKg: 0.01,
        clockStepS: 0.1,
        jetToleranceM: 1e-5,
      });
      expect(found.relativeUncertainty).toBeLessThan(0.05);
    }
  });

  test("with boost it says why fuel is measured at less than its pressure", () => {
    const boosted = { ...demo, kinds: { ...demo.kinds, boostPa: 1e5 } };
    const words = "fuel pressure less full boost";
    expect([buildSheet(demo), buildSheet(boosted)].map((html) => html.includes(words))).toEqual([
      false,
      true,
    ]);
  });

  test("sensors have the three contacts that wiring.md gives them", () => {
    const wiring = readFileSync("hardware-notes/wiring.md", "utf8");
    const at = (word: string) => new RegExp(`\\| (X4\\.\\d+) +\\| bottle, ${word}`, "u").exec(wiring)![1];
    expect(buildSheet(demo)).toContain(`<td>${at("supply")}, ${at("signal")}, ${at("ground")}</td>`);
  });

  test("has the way of the current by key, fuses and relays as wiring.md has it, and where the fuel-pressure switch goes", () => {
    const wiring = readFileSync("hardware-notes/wiring.md", "utf8");
    const [, key] = /\| (X1\.\d) +\| key /u.exec(wiring)!;
    const [, supply] = /\| (X8\.\d) +\| driver supply/u.exec(wiring)!;
    const html = buildSheet(demo);
    expect(html).toContain(
      `Feed by the key behind F9 of the car: ${key}. Battery by F1, relays K2 and K1: ${supply}.`,
    );
    expect(html).toContain(`controller F2, stages ${demo.stages.map((_, i) => `F${3 + i}`).join(", ")}.`);
    expect(html).toContain("arm and fuel-pressure switch in series");
    expect(buildSheet(dry)).not.toContain("fuel-pressure switch");
  });

  test("a dry one has injector time in place of fuel jets", () => {
    const html = buildSheet(dry);
    expect(html).toContain("injector time");
    const fuel = /fuel jets|fuel and nitrous jets|test fuel/u;
    expect(demo.checklist.join(" ")).toMatch(fuel);
    expect(dry.checklist.join(" ")).not.toMatch(fuel);
    expect(html).not.toContain("fuel through its jets");
    expect(html).toContain("engine computer");
  });

  test("a plan with a STOP says on the sheet not to build it", () => {
    const stopped = planOfText(DRY.replace("pump-flow: 255 L/h", "pump-flow: 40 L/h"));
    expect(buildSheet(stopped)).toContain("STOP fuel-pump-small");
    expect(buildSheet(demo)).not.toContain("STOP");
  });
});
