// A plan on the terminal: every section on one screen of 80 columns, for every invented car.

import { beforeAll, describe, expect, test } from "vitest";
import { fuelSwitchText } from "#host/plan/accessories.ts";
import type { SystemPlan } from "#host/plan/system-plan.ts";
import { planCharts } from "#host/report/plan/charts.ts";
import { stageTable } from "#host/report/plan/first-screen.ts";
import { planSections } from "#host/report/plan/sections.ts";
import { planText, sectionLines } from "#host/report/plan/text.ts";
import { paintFor } from "#host/report/terminal/terminal.ts";
import { sample } from "../../../support/effort.ts";
import { planOfText } from "../../plan/planned.ts";
import { TWELVE_CARS } from "../../plan/twelve-cars.ts";

/** Rows of a common terminal window. */
const SCREEN = 36;
const plain = paintFor({ write: () => true }, { NO_COLOR: "1" });
const plans: SystemPlan[] = [];
beforeAll(() => {
  plans.push(...sample(TWELVE_CARS, 4).map(({ text }) => planOfText(text)));
}, 60_000);

describe("plan report", () => {
  test("every section fits a screen of 36 lines and 80 columns", () => {
    for (const plan of plans) {
      for (const section of planSections(plan)) {
        const lines = sectionLines(section, 80, plain);
        expect([section.heading, Math.max(...lines.map((line) => line.length)) <= 80]).toEqual([
          section.heading,
          true,
        ]);
        expect([section.heading, lines.length <= SCREEN]).toEqual([section.heading, true]);
      }
    }
  });

  test("the first screen holds the system, jets, flows, ranges and cautions in 24 lines", () => {
    for (const plan of plans) {
      const [first] = planText(plan, 80, plain).split("\n\n");
      const lines = first!.split("\n");
      expect([plan.name, lines.length <= 24]).toEqual([plan.name, true]);
      for (const word of ["System: ", "Power: ", "Ratio: ", "Window: ", "Retard: ", "Run: ", "Ranges: "])
        expect(lines.some((line) => line.startsWith(word))).toBe(true);
      const stops = plan.cautions.filter(({ level }) => level === "stop" || level === "caution");
      for (const { name, short } of stops)
        expect(first!.replace(/\s+/gu, " ")).toContain(`${name}: ${short}`);
    }
  });

  test("fuel for the bench is flow over density, by hand: 30 s of grams, at 745 g a litre of gasoline", () => {
    const plan = plans.find((p) => p.kind === "wet" && p.fuelName === "gasoline")!;
    const row = stageTable(plan).rows[0]!;
    expect(Number(row[5])).toBeCloseTo((30 * plan.stages[0]!.fuelKgS * 1000) / 0.745, 0);
    expect(Number(row[3])).toBeCloseTo(plan.stages[0]!.nitrousKgS * 1000, 0);
  });

  test("the ladder begins low, ends with the plan, and every step is more power, retard and nitrous", () => {
    for (const { ladder, added, retardDeg, runs } of plans) {
      for (let i = 1; i < ladder.length; i++)
        for (const key of ["addedW", "nitrousKgS", "retardDeg"] as const)
          expect(ladder[i]![key]).toBeGreaterThan(ladder[i - 1]![key]);
      expect(ladder[0]!.addedW).toBeLessThan(0.35 * added.powerW);
      const last = ladder.at(-1)!;
      expect(last.addedW / added.powerW).toBeCloseTo(1, 6);
      expect(last.retardDeg).toBeCloseTo(retardDeg, 6);
      expect(last.quarterS).toBeCloseTo(runs.planned.quarterS, 6);
    }
  });

  test("a weighed jet is as certain as the car file says, and a carburettor takes no raised pressure", () => {
    const plan = plans[0]!;
    const words = (change: Partial<SystemPlan>) =>
      planText({ ...plan, ...change }, 80, plain).replace(/\s+/gu, " ");
    expect(words({})).toContain("(+-20 %) until a timed discharge");
    const edges = { ...plan.edges, tolerance: 0.05 };
    const assumptions = plan.assumptions.filter(({ key }) => key !== "nitrous.jet-coefficient");
    expect(words({ edges, assumptions })).toContain("with the jet coefficient of the car file expect");
    expect(words({ edges, assumptions })).toContain("(+-5 %).");
    expect(words({})).toContain("Dry by raised fuel pressure: from");
    expect(words({ kinds: { ...plan.kinds, carburettor: true } })).toContain("not with a carburettor");
  });

  test("a wet plan says on the first screen what proves its fuel: a pressure switch in series with the arm switch", () => {
    for (const plan of plans) {
      const first = planText(plan, 80, plain).split("Cautions\n===")[0]!.replace(/\s+/gu, " ");
      const opens = fuelSwitchText(plan.accessories.fuelSwitchPa, plan.kinds.boostPa);
      expect(first.includes(`arm switch, in series, must open below ${opens}.`)).toBe(plan.kind === "wet");
    }
  });

  test("time over added power ends with the plan's own", () => {
    for (const plan of plans) {
      const last = plan.powers.at(-1)!;
      expect(last.quarterS).toBe(plan.runs.planned.quarterS);
      const row = new RegExp(`\\(planned\\) +${last.quarterS.toFixed(2)} `, "u");
      expect(planText(plan, 80, plain)).toMatch(row);
    }
  });

  test("nothing reads undefined, NaN or Infinity", () => {
    for (const plan of plans) {
      const text = planSections(plan)
        .flatMap((section) => sectionLines(section, 80, plain))
        .join("\n");
      expect(text).not.toMatch(/undefined|NaN|Infinity/u);
    }
  });

  test("the honest part stands in every plan", () => {
    for (const plan of plans) {
      const text = planSections(plan)
        .flatMap((section) => sectionLines(section, 200, plain))
        .join(" ");
      expect(text).toContain("+-20 %");
      expect(text).toContain("common practice, no source");
    }
  });

  test("what decides safety and was assumed stands on the first screen; what the file says does not", () => {
    for (const plan of plans) {
      const top = planText(plan, 80, plain).split("Cautions\n===")[0]!.replace(/\s+/gu, " ");
      expect(top).toContain("ASSUMED, and decides safety: ");
      expect(top).toContain(`engine-pulses ${(plan.base.cylinders / 2).toFixed(1)} pulses/rev`);
      expect(top.includes("fuel kind gasoline")).toBe(plan.fuelName === "gasoline");
    }
  });

  test("charts have equal lengths, places on their axis, and lines told apart by look and by name", () => {
    for (const chart of plans.flatMap((plan) => Object.values(planCharts(plan)).flat())) {
      for (const { lines, min, max } of chart.panels) {
        for (const { places, values } of lines) {
          expect(values).toHaveLength(places.length);
          expect(Math.min(...places)).toBeGreaterThanOrEqual(chart.from - 1e-9);
          expect(Math.max(...places)).toBeLessThanOrEqual(chart.to + 1e-9);
        }
        expect(max).toBeGreaterThan(min);
        for (const name of ["look", "label"] as const)
          expect(new Set(lines.map((line) => line[name])).size).toBe(lines.length);
      }
    }
  });

  test("a ramp that its valves cannot follow says where and why they jump", () => {
    for (const plan of plans) {
      const { least, greatest } = plan.valves;
      for (const [i, { ramp }] of plan.stages.entries()) {
        const notes = planCharts(plan)[`ramp-${i + 1}`]![0]!.panels[0]!.notes ?? [];
        const rises = ramp.at(-1)![1] >= 1 && ramp.some(([, share]) => share < greatest - 1e-9);
        expect(
          notes.some((note) => note.includes("jumps to 100 %")),
          plan.name,
        ).toBe(rises);
        if (ramp.every(([, share]) => share >= least)) expect(notes.join()).not.toContain("no time to open");
      }
    }
  });
});
