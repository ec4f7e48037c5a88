/** Jets rounded to what can be had: nearest, shared out over the stages, from the sizes on hand; never leaner through rounding. */
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { roundedJets } from "#host/plan/nitrous/jets.ts";
import { sizeSystem } from "#host/plan/nitrous/sizing.ts";
import { runs } from "../../../support/effort.ts";
import { goalOf, inputOf } from "../cars.ts";
import { planOf } from "../planned.ts";

const HP = 745.7;
const mm = (metres: number) => Math.round(metres * 1e5) / 100;

describe("rounding", () => {
  test("8 nozzles for 200 hp are within 3 %, where rounding each down gave 187", () => {
    const sized = sizeSystem(inputOf({ nitrous: "{line-length: 0.1 m}" }), 200 * HP, [1], 8, true);
    expect(Math.abs(sized.addedW / HP / 200 - 1)).toBeLessThan(0.035);
    const down = sizeSystem(inputOf({ nitrous: "{line-length: 0.1 m}" }), 200 * HP, [1], 8, true, "down");
    expect(down.addedW).toBeLessThanOrEqual(sized.addedW);
  });

  test.prop([fc.integer({ min: 60, max: 400 })], runs(20))(
    "what one stage lacks the next one gets: the whole is no further off than one jet's step",
    (hp) => {
      const sized = sizeSystem(inputOf(), hp * HP, [0.3, 0.3, 0.4], 1, true);
      expect(sized.addedW / (hp * HP)).toBeLessThan(1.04);
      expect(sized.addedW / (hp * HP)).toBeGreaterThan(1 - 0.08 * Math.sqrt(100 / hp));
    },
  );

  test("a limit is never passed by rounding up", () => {
    for (const nm of [505, 515, 525]) {
      const made = planOf({ goal: goalOf(100), limits: `{rods: ${nm} Nm}` });
      const advised = made.cautions.find((c) => c.name === "parts");
      if (advised === undefined) expect(made.ranges.torqueNm[1]).toBeLessThanOrEqual(nm * 1.001);
    }
  });
});

describe("jets on hand", () => {
  const fuel = "{pump-flow: 255 L/h, jets: [0.5 mm, 0.6 mm, 0.7 mm, 0.8 mm, 0.9 mm]}";
  const nitrous = "{jets: [0.8 mm, 1.0 mm, 1.2 mm, 1.4 mm]}";

  test("are the only ones that are planned, fuel never smaller than needed", () => {
    const input = inputOf({ fuel, nitrous });
    const sized = sizeSystem(input, 100 * HP, [1], 1, true);
    const [stage] = sized.stages;
    expect([0.8, 1, 1.2, 1.4]).toContain(mm(stage!.nitrousJetM));
    expect([0.5, 0.6, 0.7, 0.8, 0.9]).toContain(mm(stage!.fuelJetM!));
    expect(sized.nitrousKgS / sized.fuelKgS).toBeLessThanOrEqual(0.7 * 9.3 * 1.001);
  });

  const sizes = fc.uniqueArray(fc.integer({ min: 40, max: 200 }), { minLength: 1, maxLength: 9 });
  const parts = fc.constantFrom([1], [0.7, 0.3], [0.3, 0.7], [0.5, 0.3, 0.2]);
  test.prop([
    sizes,
    parts,
    fc.integer({ min: 50, max: 300 }),
    fc.constantFrom("nearest" as const, "down" as const),
  ])(
    "no other size of one stage alone would come nearer, but over what was asked for",
    (hundredths, shares, wanted, rounding) => {
      const jetsM = hundredths.sort((a, b) => a - b).map((size) => size / 1e5);
      const area = (diameterM: number) => (Math.PI / 4) * diameterM ** 2;
      const all = area(wanted / 1e5);
      const jets = roundedJets(
        shares.map((share) => share * all),
        1,
        jetsM,
        rounding,
      );
      const miss = (some: readonly number[]) => some.reduce((sum, jet) => sum + area(jet), 0) / all - 1;
      const now = miss(jets);
      for (const [i, jet] of jets.entries())
        for (const step of [-1, 1]) {
          const other = jetsM[jetsM.indexOf(jet) + step];
          if (other === undefined || Math.abs(now) <= 0.03) continue;
          if (step > 0 && (rounding === "down" || miss(jets.with(i, other)) > 0.03)) continue;
          expect(Math.abs(miss(jets.with(i, other)))).toBeGreaterThanOrEqual(Math.abs(now) - 1e-9);
        }
    },
  );

  test("that are far from the goal are said", () => {
    const made = planOf({ fuel, nitrous: "{jets: [0.8 mm]}" });
    expect(made.cautions.find((c) => c.name === "jets")!.short).toMatch(/^\d+ hp of 100/u);
  });
});

describe("fuel jets on hand that are far too large", () => {
  test("are named as what is wrong with the mixture, and by how much", () => {
    const { cautions, kinds } = planOf({ fuel: "{pump-flow: 255 L/h, jets: [1.2 mm]}" });
    const rich = cautions.find(({ name }) => name === "mixture-rich")!;
    expect(rich.level).toBe("stop");
    const off = (100 * (1 - kinds.chargeLambda / 0.7)).toFixed(0);
    expect(rich.instead).toMatch(
      new RegExp(`^smaller fuel jets \\(fuel.jets\\), which are ${off} % off`, "u"),
    );
  });
});

describe("the day's bottle", () => {
  test("each pressure of the window has the jets that keep power and mixture, smaller as it rises", () => {
    const { days, stages, bottleWindow } = planOf({ fuel: "{pump-flow: 255 L/h}" });
    expect(days.length).toBeGreaterThan(3);
    for (let i = 1; i < days.length; i++) {
      expect(days[i]!.bottlePa).toBeGreaterThan(days[i - 1]!.bottlePa);
      expect(days[i]!.nitrousJetsM[0]!).toBeLessThanOrEqual(days[i - 1]!.nitrousJetsM[0]!);
    }
    expect(days[0]!.bottlePa).toBeGreaterThanOrEqual(bottleWindow.lowestPa);
    expect(days.at(-1)!.bottlePa).toBeLessThanOrEqual(bottleWindow.highestPa);
    for (const day of days) expect(day.chargeLambda).toBeLessThan(0.76);
    const planned = days.find((day) => Math.abs(day.bottlePa - 900 * 6894.757 - 101_325) < 1e3)!;
    expect(planned.nitrousJetsM).toEqual(stages.map((stage) => stage.nitrousJetM));
  });
});
