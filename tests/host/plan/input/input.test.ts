/** The car file: every error of form named, placed and explained, all at once; gaps filled and said. */
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { loadCar } from "#host/plan/input/resolve.ts";
import { carText, inputOf } from "../cars.ts";
import { errorsOf, one, UNDRIVEN } from "./refused.ts";

const ENGINE = "power: 220 kW, power-at: 6000 rpm, rev-limiter: 6800 rpm";

describe("form", () => {
  test("all errors at once, in file order, each with place and remedy", () => {
    const errors = errorsOf(`engine:
  power: 220
  power-at: -6000 rpm
  rev-limiter: 6800 bar
  cylindres: 6
car:
  mass: 1,500 kg
  driven: sideways
goal:
  added-power: 100 hp
`);
    expect(errors.map((e) => [e.line, e.column, e.path])).toEqual([
      [2, 10, "engine.power"],
      [3, 13, "engine.power-at"],
      [4, 16, "engine.rev-limiter"],
      [5, 14, "engine.cylindres"],
      [7, 9, "car.mass"],
      [8, 11, "car.driven"],
    ]);
    expect(errors[0]!.message).toContain("no unit");
    expect(errors[2]!.message).toContain("is a pressure");
    expect(errors[3]!.remedy).toContain("cylinders");
    for (const error of errors) expect(error.remedy.length).toBeGreaterThan(3);
  });

  test("missing groups and keys stand at the nearest place that exists", () => {
    expect(errorsOf("engine: {power: 1 kW\n")[0]).toMatchObject({ path: "" });
    expect(errorsOf("").map((e) => e.path)).toEqual(["engine", "car", "goal"]);
    expect(one({ car: "{mass: 1500 kg}" })).toMatchObject({ line: 3, path: "car.driven" });
  });

  test("a list of too few entries and a pair of one", () => {
    const error = one({ engine: `{${ENGINE}, torque-curve: [[2000 rpm, 200 Nm]]}` });
    expect(error.remedy).toContain("[[2000 rpm, 200 Nm]");
  });

  test.prop([fc.string({ maxLength: 60 })])("no text throws", (text) => {
    expect(typeof loadCar(text).ok).toBe("boolean");
  });

  test.prop(
    [
      fc.constantFrom("power", "power-at", "rev-limiter"),
      fc.constantFrom("", "-5", "x", "1e999 kW", "[1]", "{}"),
    ],
    { numRuns: 18 },
  )("bad required values never pass", (key, value) => {
    const engine = ENGINE.replace(new RegExp(`${key}: [^,]+`), `${key}: ${value || '""'}`);
    expect(errorsOf(carText({ engine: `{${engine}}` })).some((e) => e.path.startsWith(`engine.${key}`))).toBe(
      true,
    );
  });
});

describe("decimal commas that YAML takes for the end of a value", () => {
  const digits = fc.stringMatching(/^[0-9]{1,3}$/u);
  const AGAIN = /point for a decimal comma/u;

  test.prop([fc.integer({ min: 1, max: 9 }), digits, fc.constantFrom("", " kg", " t")], { numRuns: 30 })(
    "within braces: one error, at the key, with the number as it was written",
    (whole, decimals, unit) => {
      const error = one({ car: `{mass: ${whole},${decimals}${unit}, driven: rear}` });
      expect(error).toMatchObject({ path: "car.mass", line: 3, remedy: expect.stringMatching(AGAIN) });
      expect(error.message).toContain(`"${whole},${decimals}${unit}"`);
    },
  );

  test.each([
    ["nitrous", "{jets: [0,8 mm, 0,9 mm, 1,1 mm]}", "nitrous.jets"],
    ["gearbox", "{ratios: [3,36, 2,09, 1,47]}", "gearbox.ratios"],
    ["nitrous", "{bottle-window: [48,3 bar, 67,2 bar]}", "nitrous.bottle-window"],
    ["tyres", "{slip-curve: [[8 %, 1,1], [10 %, 1.0]]}", "tyres.slip-curve.0"],
  ])("within brackets: one error for the list: %s: %s", (key, value, path) => {
    expect(one({ [key]: value })).toMatchObject({ path, remedy: expect.stringMatching(AGAIN) });
  });

  test("a number that is right but for its comma is no longer taken for half of it", () => {
    expect(one({ gearbox: "{final-drive: 4,1}" })).toMatchObject({ path: "gearbox.final-drive" });
  });

  test("lists without spaces, and keys that only begin with a digit, are what they were", () => {
    expect(inputOf({ gearbox: "{ratios: [3.36,2.09,1.47]}" }).car.gears).toEqual([3.36, 2.09, 1.47]);
    expect(one({ car: "{mass: 1500 kg, driven: rear, 4wd: yes}" }).message).toBe('unknown key "4wd"');
  });
});

describe("another form than a key takes", () => {
  test.each([
    ["goal", "[1]", "goal", "keys of its own"],
    ["gearbox", "{ratios: 3.2}", "gearbox.ratios", "takes a list"],
    ["nitrous", "{bottle-window: 700 psi}", "nitrous.bottle-window", "takes a list"],
    ["controls", "{purge: true}", "controls.purge", "one of: no, yes"],
  ])("%s: %s", (key, value, path, words) => {
    const error = one({ [key]: value });
    expect(error.path).toBe(path);
    expect(error.message).toContain(words);
  });

  test("a key that stands twice is called so", () => {
    const [error] = errorsOf(`${carText()}goal: {added-power: 100 hp}\n`);
    expect(error).toMatchObject({ remedy: "keep one of the two", message: expect.stringContaining("twice") });
  });
});

describe("gaps", () => {
  test.each([
    ["{road-pulses: 4000 pulses/km}", "driveshaft", true],
    [UNDRIVEN, "undriven-wheel", false],
    ["{launch-switch: yes}", "driveshaft", false],
  ])("where the road speed sender is, from %s: %s", (controls, sender, assumed) => {
    const { control, assumptions } = inputOf({ controls });
    expect(control.roadSender).toBe(sender);
    expect(assumptions.some(({ key }) => key === "controls.road-sender")).toBe(assumed);
  });

  test("six required keys are enough, and every default is listed with its reason", () => {
    const { assumptions } = inputOf();
    expect(assumptions.length).toBeGreaterThan(20);
    for (const { key, value, why } of assumptions)
      expect([key, value, why].every((text) => text.length > 0)).toBe(true);
  });

  test("everything that only a rehearsed run needs can be said, and is listed where it is not", () => {
    const said = {
      engine:
        "{power: 220 kW, power-at: 6000 rpm, rev-limiter: 6800 rpm, inertia: 0.3 kg m2, idle: 1000 rpm, braking-torque: 55 Nm, intake-lag: 70 ms, closed-manifold: 30 kPa absolute}",
      car: "{mass: 1500 kg, driven: rear, wheel-inertia: 5 kg m2, pitch-lag: 120 ms}",
      gearbox: "{clutch-torque: 500 Nm}",
      tyres: "{peak-slip: 12 %, sliding-friction: 80 %}",
      driver:
        "{shift: flat, pedal-time: 60 ms, clutch-time: 100 ms, clutch: 90 %, wheelspin: feather, feather-slip: 20 %, reaction-time: 300 ms}",
      nitrous: "{delivery-lag: 30 ms, torque-lag: 40 ms}",
      fuel: "{pressure-drop: 5 psi, pressure-lag: 60 ms}",
      controls: "{battery: 13 V, battery-low: 12 V, battery-high: 14.4 V, solenoid-drop: 80 mV}",
    };
    const [told, gaps] = [inputOf(said), inputOf()];
    expect(told.car.motion).toMatchObject({
      peakSlip: 0.12,
      slidingShare: 0.8,
      axleLagS: 0.12,
      intakeS: 0.07,
      brakingNm: 55,
      clutchNm: 500,
      idleRpm: 1000,
      limiterRpm: 6800,
      closedManifoldPa: 30_000,
    });
    expect([told.car.engineInertiaKgM2, told.car.wheelInertiaKgM2]).toEqual([0.3, 5]);
    expect(told.driver).toEqual({
      shift: "flat",
      pedalS: 0.06,
      takeUpS: 0.1,
      clutchShare: 0.9,
      spin: "feather",
      featherSlip: 0.2,
      reactionS: 0.3,
    });
    expect(told.lags).toMatchObject({
      deliveryS: 0.03,
      torqueLagS: 0.04,
      fuelLagS: 0.06,
      batteryV: 13,
      batteryLowV: 12,
      batteryHighV: 14.4,
      dropVPerSolenoid: 0.08,
    });
    expect(told.lags.fuelDroopPa).toBeCloseTo(34_474, 0);
    const [listed, left] = [gaps, told].map((input) => input.assumptions.map((a) => a.key));
    const keys = Object.entries(said).flatMap(([group, text]) =>
      [...text.matchAll(/([a-z-]+): /gu)].map((match) => `${group}.${match[1]}`),
    );
    const required = ["engine.power", "engine.power-at", "engine.rev-limiter", "car.mass", "car.driven"];
    expect(keys.filter((key) => !listed!.includes(key))).toEqual(required);
    expect(keys.filter((key) => left!.includes(key))).toEqual([]);
  });

  test("what is said is not assumed", () => {
    const keys = inputOf({ tyres: "{friction: 1.2, size: 245/40-17}" }).assumptions.map((a) => a.key);
    expect(keys).not.toContain("tyres.friction");
    expect(keys).toContain("tyres.grip-loss");
  });

  test("gauge is read against the air of the place, absolute as it is", () => {
    const at = (pressure: string) =>
      inputOf({ site: "{height: 1500 m}", nitrous: `{bottle-pressure: ${pressure}}` }).nitrous.bottlePa;
    expect(at("900 psi") - at("900 psi absolute")).toBeCloseTo(84_556, -1);
    expect(at("900 psi gauge")).toBe(at("900 psi"));
  });
});
