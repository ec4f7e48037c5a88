/** The whole plan: goals, limits, choices, and what must move in one direction. */
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { runCautions } from "#host/plan/cautions/run.ts";
import { ChainTooNarrow, sizeSystem } from "#host/plan/nitrous/sizing.ts";
import { GoalUnreachable } from "#host/plan/run/goal.ts";
import type { Caution, SystemPlan } from "#host/plan/system-plan.ts";
import { runs } from "../../support/effort.ts";
import { goalOf, inputOf } from "./cars.ts";
import { planOf as plan } from "./planned.ts";

const stops = (extra: Readonly<Record<string, string>>) =>
  plan(extra)
    .cautions.filter((c) => c.level === "stop")
    .map((c) => `${c.text} ${c.instead}`)
    .join(" ");

describe("goal", () => {
  test("a quarter-mile goal is met by the driven run within the step between jets, with no more power than needed", () => {
    const made = plan({ goal: "{quarter-mile: 13.6 s}", tyres: "{friction: 1.2}" });
    expect(made.runs.planned.quarterS).toBeLessThanOrEqual(13.65);
    expect(made.runs.planned.quarterS).toBeGreaterThan(13.5);
  });

  test.each([
    ["{quarter-mile: 9 s}", "at best"],
    ["{quarter-mile: 20 s}", "already runs"],
  ])("%s cannot be planned: %s", (goal, words) => {
    expect(() => plan({ goal })).toThrow(GoalUnreachable);
    expect(() => plan({ goal })).toThrow(words);
  });

  test("bores that cannot pass the flow are refused", () => {
    expect(() => plan({ nitrous: "{solenoid-bore: 0.6 mm}" })).toThrow(ChainTooNarrow);
  });
});

describe("limits", () => {
  test("a goal past the rods stops, says what they stand, and the advice then fits", () => {
    const extra = { limits: "{rods: 450 Nm}", goal: goalOf(200) };
    const text = stops(extra);
    expect(text).toContain("exceeds the limits given for the parts");
    const advised = Number(/plan for at most (\d+) hp/u.exec(text)![1]);
    expect(plan({ ...extra, goal: goalOf(advised) }).window.withinLimits).toBe(true);
  });

  test("a limit for each cylinder stops", () => {
    expect(stops({ limits: "{power-per-cylinder: 45 kW}" })).toContain("Each cylinder");
  });

  test("full throttle that nothing proves stops", () => {
    expect(stops({ controls: "{throttle-switch: no}" })).toContain("full-throttle switch");
  });

  test("a pump that is too small stops, one that just does is a caution", () => {
    expect(stops({ fuel: "{pump-flow: 60 L/h}" })).toContain("fuel pump");
    expect(stops({ fuel: "{pump-flow: 255 L/h}" })).toBe("");
  });

  test("the same power opens later with weaker parts", () => {
    const open = (nm: number) => plan({ limits: `{clutch: ${nm} Nm}` }).window.openRpm;
    expect(open(520)).toBeGreaterThan(open(600));
  });
});

/** Tyres whose reserve the plan itself finds, as it does stages and ramp. */
const SEARCHED = "{}";
const GOAL = "{added-power: 100 hp}";

describe("choices", () => {
  test.each<[string, Readonly<Record<string, string>>, string, string]>([
    ["no word about the fuel system", {}, "wet", "one nozzle"],
    [
      "enrichment and injectors with room",
      { fuel: "{ecu-enrichment: yes, injector-flow: 600 cc/min}" },
      "dry",
      "one nozzle",
    ],
    [
      "enrichment, injectors without room",
      { fuel: "{ecu-enrichment: yes, injector-flow: 240 cc/min}" },
      "wet",
      "one nozzle",
    ],
    ["a large shot", { goal: goalOf(250) }, "wet", "nozzle for each cylinder"],
    [
      "a carburettor",
      { engine: "{power: 220 kW, power-at: 6000 rpm, rev-limiter: 6800 rpm, intake: carburettor}" },
      "wet",
      "plate",
    ],
  ])("%s", (_, extra, kind, layout) => {
    const made = plan({ goal: goalOf(75), ...extra });
    expect([made.kind, made.layout]).toEqual([kind, layout]);
  });

  test("the ramp runs over road speed with a sensor, over time with only a launch switch, else over engine speed", () => {
    const axis = (controls: string) => plan({ controls, goal: GOAL, tyres: SEARCHED }).axis;
    expect(axis("{road-pulses: 4000 pulses/km}")).toBe("road-speed");
    expect(axis("{}")).toBe("launch");
    expect(axis("{launch-switch: no}")).toBe("engine-speed");
  });

  test.each([
    ["driven-wheel", true],
    ["driveshaft", true],
    ["undriven-wheel", false],
  ])("a ramp over road speed at a sender of %s: caution %s", (sender, said) => {
    const controls = `{road-pulses: 4000 pulses/km, road-sender: ${sender}}`;
    const made = plan({ controls, goal: GOAL, tyres: SEARCHED });
    expect(made.axis).toBe("road-speed");
    expect(made.cautions.some(({ text }) => text.includes("when the tyres spin"))).toBe(said);
  });

  test("every choice has a reason and what would change it; the spread of the flow models is said", () => {
    const { recommendations, cautions } = plan();
    for (const r of recommendations)
      expect([r.choice, r.reason, r.changes].every((text) => text.length > 0)).toBe(true);
    expect(cautions.some((c) => c.text.includes("+-20 %"))).toBe(true);
  });
});

describe("cautions about the run", () => {
  const said = (change: Partial<SystemPlan>, name: string, reserve?: number) => {
    const found: Caution[] = [];
    const input = inputOf();
    runCautions({ ...input, hold: { ...input.hold, reserve } }, { ...plan(), ...change }, (c) =>
      found.push(c),
    );
    return found.find((c) => c.name === name);
  };

  test("a reserve is to be left out only where the file has one", () => {
    const hold = { ...plan().hold, holds: false };
    expect(said({ hold }, "no-hold")!.instead).toMatch(/^ask the control core with --prove-ramp/u);
    expect(said({ hold }, "no-hold", 0.1)!.instead).toMatch(/^leave tyres.reserve out/u);
  });

  test("a limiter that is met in the last moment is not met 0.0 s before the end", () => {
    const { trace, base } = plan();
    const last = { ...trace.at(-1)!, rpm: base.limiterRpm };
    expect(said({ trace: [...trace.slice(0, -1), last] }, "limiter")!.short).toContain("less than 0.1 s");
  });
});

describe("directions", () => {
  const hp = fc.integer({ min: 20, max: 400 });

  test.prop([hp, hp], runs(15))("never less fuel, nitrous or jet for more power", (a, b) => {
    const sized = (value: number) => sizeSystem(inputOf(), value * 745.7, [1], 1, true);
    const [low, high] = [sized(Math.min(a, b)), sized(Math.max(a, b))];
    expect(high.nitrousKgS).toBeGreaterThanOrEqual(low.nitrousKgS);
    expect(high.fuelKgS).toBeGreaterThanOrEqual(low.fuelKgS);
    expect(high.stages[0]!.fuelJetM).toBeGreaterThanOrEqual(low.stages[0]!.fuelJetM!);
  });

  test.prop([hp, fc.constantFrom("gasoline", "E85", "ethanol", "methanol")], runs(12))(
    "rounded jets are never leaner than wanted by more than the nitrous jet's half step",
    (value, kind) => {
      const input = inputOf({ fuel: `{kind: ${kind}}` });
      const sized = sizeSystem(input, value * 745.7, [0.4, 0.6], 1, true);
      for (const stage of sized.stages) expect(stage.nitrousJetM).toBeGreaterThan(0);
      const wanted = 1 / (input.nitrous.lambda * (input.fuel.fuel.oxygenKgKg / 0.3635));
      expect(sized.fuelKgS / sized.nitrousKgS).toBeGreaterThanOrEqual(wanted * 0.995);
    },
  );
});
