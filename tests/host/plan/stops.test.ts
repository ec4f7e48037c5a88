/** What would break an engine is no settings file: each STOP by its name, and what a person may acknowledge, with a reason. */
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { fuelCautions } from "#host/plan/cautions/fuel.ts";
import { loadCar } from "#host/plan/input/resolve.ts";
import type { Caution } from "#host/plan/system-plan.ts";
import { carText, goalOf, inputOf } from "./cars.ts";
import { planOf as plan } from "./planned.ts";

const ENGINE = "power: 150 kW, power-at: 6000 rpm, rev-limiter: 6800 rpm";
const PUMP = { fuel: "{pump-flow: 255 L/h}" };
type Extra = Readonly<Record<string, string>>;
const names = (extra: Extra, level: string) =>
  plan(extra)
    .cautions.filter((c) => c.level === level)
    .map((c) => c.name);

describe("added power", () => {
  const huge = { engine: `{${ENGINE}, cylinders: 6}`, goal: goalOf(900) };

  test("900 hp on 150 kW stops for its power, for its retard and for the pump that nobody named", () => {
    expect(names(huge, "stop")).toEqual(expect.arrayContaining(["added-power", "retard", "fuel-pump"]));
  });

  test.each([
    ["rods", "{rods: 2500 Nm}", false],
    ["power-per-cylinder", "{power-per-cylinder: 250 kW}", false],
    ["a clutch says nothing of the engine", "{clutch: 2500 Nm}", true],
  ])("with a limit of the engine's own parts it is a caution: %s", (_, limits, stops) => {
    expect(names({ ...huge, limits }, "stop").includes("added-power")).toBe(stops);
  });

  test("above half of the engine's own power it is a caution", () => {
    const goal = (hp: number) => ({ ...PUMP, engine: huge.engine, goal: goalOf(hp) });
    expect(names(goal(80), "caution")).not.toContain("added-power");
    expect(names(goal(120), "caution")).toContain("added-power");
    expect(names(goal(120), "stop")).not.toContain("added-power");
  });
});

describe("retard", () => {
  const goal = {
    ...PUMP,
    engine: "{power: 400 kW, power-at: 6000 rpm, rev-limiter: 6800 rpm, cylinders: 8}",
  };

  test("above 12 degrees stops; the car file may set another ceiling (2 degrees for 50 hp: common practice)", () => {
    const of = (hp: number, limits = "{rods: 3000 Nm}") =>
      names({ ...goal, limits, goal: goalOf(hp) }, "stop").includes("retard");
    expect([of(250), of(330)]).toEqual([false, true]);
    expect(of(330, "{rods: 3000 Nm, retard: 15 deg}")).toBe(false);
    expect(of(250, "{rods: 3000 Nm, retard: 8 deg}")).toBe(true);
  });
});

describe("an unknown pump", () => {
  test.each([
    [45, false],
    [60, true],
  ])("with %i hp: stop %s", (hp, stops) => {
    const found = names({ goal: goalOf(hp) }, "stop");
    expect(found.includes("fuel-pump")).toBe(stops);
  });
});

describe("fuel in thick air", () => {
  const cold = { temperature: "-25 C", ratio: 288.15 / 248.15 };
  const at = (pump: string) => ({
    fuel: `{pump-flow: ${pump} L/h, injector-flow: 300 cc/min, injectors: 6}`,
    goal: goalOf(60),
  });

  test("pump and injectors are held against the power that the engine makes there, not against its rating", () => {
    const [usual, thick] = [
      plan(at("120")),
      plan({ ...at("120"), site: `{temperature: ${cold.temperature}}` }),
    ];
    const own = usual.pump!.neededKgS - usual.sizing.fuelKgS;
    expect(thick.pump!.neededKgS - thick.sizing.fuelKgS).toBeCloseTo(own * cold.ratio, 6);
    expect(thick.injectors!.neededKgS / usual.injectors!.neededKgS).toBeCloseTo(cold.ratio, 6);
    expect(usual.cautions.find(({ name }) => name === "fuel-pump-small")?.level).toBe("caution");
    expect(thick.cautions.find(({ name }) => name === "fuel-pump-small")?.level).toBe("stop");
  });

  test("in thin air the engine's lambda counts less of the engine's own fuel", () => {
    const [low, high] = ["0 m", "2500 m"].map((height) =>
      plan({ ...at("255"), site: `{height: ${height}}` }),
    );
    expect(high!.ladder.at(-1)!.engineLambda).toBeLessThan(low!.ladder.at(-1)!.engineLambda - 0.005);
    expect(high!.pump!.neededKgS).toBeCloseTo(low!.pump!.neededKgS, 3);
  });
});

describe("acknowledged by name, with a reason", () => {
  const acknowledged = '{fuel-pump: "a second tank with its own pump, 300 L/h measured"}';

  test("is no stop, and stands first, with its reason", () => {
    const [first] = plan({ acknowledged }).cautions;
    expect(first).toMatchObject({ level: "acknowledged", name: "fuel-pump" });
    expect(first!.text).toContain("300 L/h measured");
    expect(names({ acknowledged }, "stop")).toEqual([]);
  });

  test("what needs none is a caution, so that nobody acknowledges ahead", () => {
    expect(names({ ...PUMP, acknowledged }, "caution")).toContain("acknowledged");
  });

  test.each([
    ["{fuel-pump: yes}", "acknowledged.fuel-pump"],
    ['{fuel-pump: "ok"}', "acknowledged.fuel-pump"],
    ['{mixture: "it has always been so"}', "acknowledged.mixture"],
  ])("%s is refused", (text, path) => {
    const loaded = loadCar(carText({ acknowledged: text }));
    expect(loaded.ok ? [] : loaded.errors.map((e) => e.path)).toEqual([path]);
  });
});

describe("mixture", () => {
  const of = (extra: Extra) => names({ ...PUMP, ...extra }, "stop");

  test("rich as usual it holds over the whole window of the bottle", () => {
    expect(of({ nitrous: "{lambda: 0.72}" })).toEqual([]);
  });

  test.each<[string, Extra, string]>([
    ["lambda 0.82 is leaner than 0.92 at flow +20 %", { nitrous: "{lambda: 0.82}" }, "mixture-lean"],
    ["lambda 0.50 is richer than 0.45 at flow -20 %", { nitrous: "{lambda: 0.50}" }, "mixture-rich"],
    [
      "a window up to 1140 psi",
      { nitrous: "{lambda: 0.74, bottle-window: [800 psi, 1140 psi]}" },
      "mixture-lean",
    ],
    ["a lower ceiling of the file", { limits: "{lean: 0.80}" }, "mixture-lean"],
  ])("%s", (_, extra, name) => {
    expect(of(extra)).toContain(name);
  });

  test("BOTTLE-HIGH comes down as far as that makes mixture and parts hold, and no further than 20 psi", () => {
    const top = (extra: Extra) => {
      const { bottleWindow, airPa, cautions } = plan({
        ...PUMP,
        ...extra,
      });
      const stops = cautions.filter((c) => c.level === "stop").map((c) => c.name);
      return [Math.round((bottleWindow.highestPa - airPa) / 6894.757), stops] as const;
    };
    expect(top({})).toEqual([975, []]);
    const lowered = [0.76, 0.77, 0.78].map((lambda) => top({ nitrous: `{lambda: ${lambda}}` }));
    const [lower, none] = lowered.find(([psi]) => psi < 975)!;
    expect(none).toEqual([]);
    expect(lower).toBeGreaterThanOrEqual(920);
    expect(top({ nitrous: "{lambda: 0.85}" })).toEqual([975, ["mixture-lean"]]);
    expect(top({ nitrous: "{lambda: 0.78, bottle-window: [700 psi, 975 psi]}" })[1]).toEqual([
      "mixture-lean",
    ]);
  });

  test("a weighed jet narrows the flow's error, so that the same lambda holds", () => {
    expect(of({ nitrous: "{lambda: 0.80, jet-coefficient: 0.71}" })).toEqual([]);
  });

  test("without a bottle pressure sensor nothing ends the flow of a hot bottle", () => {
    expect(of({ controls: "{bottle-sensor: no}" })).toContain("bottle-sensor");
  });
});

describe("fuel pressure beside the manifold's", () => {
  const level = (psi: number) => {
    const engine = "{power: 220 kW, power-at: 6000 rpm, rev-limiter: 6800 rpm, cylinders: 6, boost: 15 psi}";
    const found: Caution[] = [];
    const input = inputOf({ engine, fuel: `{pump-flow: 400 L/h, pressure: ${psi} psi}` });
    fuelCautions(input, plan(PUMP), (caution) => found.push(caution));
    return found.find(({ name }) => name === "fuel-pressure")?.level;
  };

  // By hand: at 5 psi above boost one psi more of boost takes 1 - sqrt(4 / 5), a tenth of the fuel; at 0.2 psi all of it.
  test("a psi of boost that takes a tenth of the fuel, or all of it, stops; with 15 psi left it is a caution", () => {
    expect([15.2, 20, 30, 45].map(level)).toEqual(["stop", "stop", "caution", undefined]);
  });
});

describe("engine pulses", () => {
  test.prop([fc.integer({ min: 1, max: 16 })], { numRuns: 16 })(
    "one pulse for each firing of a four-stroke engine: half of the cylinders a revolution",
    (cylinders) => {
      const input = inputOf({ engine: `{${ENGINE}, cylinders: ${cylinders}}` });
      expect(input.control.pulsesPerRev).toBe(cylinders / 2);
    },
  );

  test("a guessed number of cylinders decides no nozzles, no injectors and no limit of each cylinder", () => {
    const engine = `{${ENGINE}}`;
    const of = (extra: Extra) =>
      names({ ...PUMP, engine, controls: "{engine-sensor: coil}", ...extra }, "stop").includes("cylinders");
    const injectors = "pump-flow: 255 L/h, injector-flow: 400 cc/min";
    expect(of({})).toBe(false);
    expect(of({ goal: goalOf(210) })).toBe(true);
    expect(of({ limits: "{power-per-cylinder: 80 kW}" })).toBe(true);
    expect(of({ fuel: `{${injectors}}` })).toBe(true);
    expect(of({ fuel: `{${injectors}, injectors: 6}` })).toBe(false);
    expect(of({ engine: `{${ENGINE}, cylinders: 6}`, limits: "{power-per-cylinder: 80 kW}" })).toBe(false);
  });

  test("neither cylinders nor pulses said: asked for", () => {
    const engine = `{${ENGINE}}`;
    expect(names({ ...PUMP, engine }, "stop")).toContain("engine-pulses");
    const controls = "{engine-pulses: 3 pulses/rev}";
    expect(names({ ...PUMP, engine, controls }, "stop")).not.toContain("engine-pulses");
  });

  test("pulses beside the firings: the engine speeds of the window, if the sensor counts every firing", () => {
    const found = (controls: string) => {
      const { cautions, window } = plan({ ...PUMP, controls });
      return { caution: cautions.find(({ name }) => name === "pulses-and-firings"), window };
    };
    const { caution, window } = found("{engine-pulses: 1 pulses/rev}");
    expect(caution?.level).toBe("caution");
    // Six cylinders of a four-stroke engine fire three times in a revolution.
    const truly = `from ${(window.openRpm / 3).toFixed(0)} to ${(window.closeRpm / 3).toFixed(0)} rpm`;
    expect(caution?.text).toContain(truly);
    for (const controls of ["{engine-pulses: 3 pulses/rev}", "{engine-sensor: wasted-spark-coil}", "{}"])
      expect(found(controls).caution).toBeUndefined();
  });

  test.each([
    ["coil", 0.5],
    ["wasted-spark-coil", 1],
    ["ignition", 3],
  ])("a sensor at: %s", (sensor, pulses) => {
    expect(inputOf({ controls: `{engine-sensor: ${sensor}}` }).control.pulsesPerRev).toBe(pulses);
  });
});
