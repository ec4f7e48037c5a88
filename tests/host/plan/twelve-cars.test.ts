/** Twelve invented cars: sensible plans, tabled in the docs. Regenerate the table with `CI=1 npx vitest run` on this file and `-u`. */
import { readFileSync } from "node:fs";
import { beforeAll, describe, expect, test } from "vitest";
import { cautionsFor } from "#host/plan/cautions/cautions.ts";
import type { PlanInput } from "#host/plan/input/plan-input.ts";
import { loadCar } from "#host/plan/input/resolve.ts";
import { makePlan } from "#host/plan/plan.ts";
import type { SystemPlan } from "#host/plan/system-plan.ts";
import { toUnit } from "#host/units/format.ts";
import { ALL, sample } from "../../support/effort.ts";
import { TWELVE_CARS } from "./twelve-cars.ts";

function inputFrom(text: string): PlanInput {
  const loaded = loadCar(text);
  if (!loaded.ok) throw new Error(loaded.errors.map((e) => `${e.line}: ${e.message}`).join("; "));
  return loaded.input;
}

/** On any day one for each of three fuels. */
const CARS = sample(TWELVE_CARS, 5);
const plans: SystemPlan[] = [];
beforeAll(() => {
  for (const { text } of CARS) plans.push(makePlan(inputFrom(text)));
}, 180_000);

const HEAD: readonly string[] = [
  "car",
  "engine, kW",
  "added, hp",
  "system",
  "fuel",
  "where",
  "stages, ramp",
  "nitrous, g/s",
  "opens, rpm",
  "retard, deg",
  "quarter without",
  "with",
  "ideal",
  "lb a run",
  "runs",
  "stops",
];

function row(plan: SystemPlan): string[] {
  return [
    plan.name,
    toUnit(plan.base.powerW, "kW").toFixed(0),
    toUnit(plan.added.wantedW, "hp").toFixed(0),
    plan.kind,
    plan.fuelName,
    plan.layout,
    `${plan.stages.length}, ${plan.axis}`,
    toUnit(plan.sizing.nitrousKgS, "g/s").toFixed(0),
    String(plan.window.openRpm),
    plan.retardDeg.toFixed(1),
    plan.runs.without.quarterS.toFixed(2),
    plan.runs.planned.quarterS.toFixed(2),
    plan.runs.limit.quarterS.toFixed(2),
    toUnit(plan.bottle.usedKg, "lb").toFixed(2),
    String(plan.bottle.runs.length),
    String(plan.cautions.filter((c) => c.level === "stop").length),
  ];
}

/** A Markdown table with its columns padded, as the formatter leaves it. */
function table(head: readonly string[], rows: readonly (readonly string[])[]): string {
  const widths = head.map((title, c) => Math.max(title.length, ...rows.map((cells) => cells[c]!.length)));
  const line = (cells: readonly string[]) =>
    `| ${cells.map((cell, c) => cell.padEnd(widths[c]!)).join(" | ")} |`;
  return [line(head), line(widths.map((width) => "-".repeat(width))), ...rows.map(line)].join("\n");
}

const PAGE = "../../../docs/plan-cars.md";
/** The cells of the docs' table, row by row. */
const tabled = () =>
  readFileSync(new URL(PAGE, import.meta.url), "utf8")
    .split("\n")
    .filter((line) => line.startsWith("|"))
    .map((line) =>
      line
        .slice(1, -1)
        .split("|")
        .map((cell) => cell.trim()),
    );

describe("twelve cars", () => {
  test("stand in the docs as they are planned", () => {
    expect(tabled()).toEqual(expect.arrayContaining([HEAD, ...plans.map(row)]));
    expect(tabled()).toHaveLength(TWELVE_CARS.length + 2);
  });

  test.runIf(ALL)("make the whole page of the docs", async () => {
    const about = `Made by the tests from the plan itself; nobody's cars. Times in seconds. "ideal" takes all that tyres and parts\nallow at every road speed; "stops" counts reasons for which no settings file is written.`;
    const page = `# Twelve invented cars, planned\n\n${about}\n\n${table(HEAD, plans.map(row))}\n`;
    await expect(page).toMatchFileSnapshot(PAGE);
  });

  test("each stops without its pump's flow when it adds over 50 hp, and only for that; with it none stops", () => {
    for (const [i, { text }] of CARS.entries()) {
      expect(text).toContain("pump-flow");
      const input = inputFrom(text.replace(/(?:, )?pump-flow: \d+ L\/h/u, "").replace("{, ", "{"));
      const plan = plans[i]!;
      const stops = (facts: SystemPlan) =>
        cautionsFor(input, facts).flatMap(({ level, name }) => (level === "stop" ? [name] : []));
      const over = plan.added.powerW > 50 * 745.7;
      expect([plan.name, stops({ ...plan, pump: undefined })]).toEqual([
        plan.name,
        over ? ["fuel-pump"] : [],
      ]);
      expect(stops(plan)).toEqual([]);
    }
  });

  test("10 hp on gasoline takes 3.5 to 6 g/s of nitrous (about 4.5: common practice, no source)", () => {
    for (const plan of plans.filter((p) => p.fuelName === "gasoline")) {
      const perTenHp = toUnit(plan.sizing.nitrousKgS, "g/s") / (toUnit(plan.sizing.addedW, "hp") / 10);
      expect(perTenHp).toBeGreaterThan(3.5);
      expect(perTenHp).toBeLessThan(6);
    }
  });

  test("the jets give the wanted power within 12 %, the rest is the step between jets", () => {
    for (const plan of plans)
      expect(Math.abs(plan.sizing.addedW / plan.added.wantedW - 1)).toBeLessThan(0.12);
  });

  // The ideal follows the settled limits over road speed; Ox, whose ramp runs over the time since launch, is 0.06 s quicker.
  test("no plan is slower than the engine alone, nor quicker than the ideal by more than 0.07 s", () => {
    for (const { runs } of plans) {
      expect(runs.planned.quarterS).toBeLessThanOrEqual(runs.without.quarterS + 1e-3);
      expect(runs.planned.quarterS).toBeGreaterThanOrEqual(runs.limit.quarterS - 0.07);
    }
  });

  test("nothing opens under 3000 rpm, every stage has its fuel, and a ramp has 2 to 12 rising points (common practice)", () => {
    for (const plan of plans) {
      expect(plan.window.openRpm - plan.window.hysteresisRpm).toBeGreaterThanOrEqual(3000);
      for (const stage of plan.stages) {
        expect(stage.fuelKgS).toBeGreaterThan(0);
        expect(stage.fuelJetM === undefined).toBe(plan.kind === "dry");
        expect(stage.ramp.length).toBeGreaterThanOrEqual(2);
        expect(stage.ramp.length).toBeLessThanOrEqual(12);
        for (let i = 1; i < stage.ramp.length; i++)
          expect(stage.ramp[i]![0]).toBeGreaterThan(stage.ramp[i - 1]![0]);
      }
    }
  });

  test("a wet system goes rich when the bottle is cold, at every car (common practice, here from the flow model)", () => {
    for (const plan of plans) {
      const [cold, warm] = [plan.mixture[0]!, plan.mixture.at(-4)!];
      expect(cold.chargeLambda).toBeLessThan(warm.chargeLambda);
      expect(cold.addedW).toBeLessThan(warm.addedW);
    }
  });

  test("methanol and E85 need more fuel for the same nitrous than gasoline", () => {
    const ratio = (plan: SystemPlan) => plan.sizing.nitrousKgS / plan.sizing.fuelKgS;
    const of = (fuel: string) => plans.filter((p) => p.fuelName === fuel).map(ratio);
    expect(Math.max(...of("methanol"))).toBeLessThan(Math.min(...of("E85")));
    expect(Math.max(...of("E85"))).toBeLessThan(Math.min(...of("gasoline")));
  });
});
