/** Atmosphere, gearing, traction and quarter-mile formulas against vehicle-dynamics.json (sources stand there). */
import { describe, expect, test } from "vitest";
import { type CarData, lockedRpm, tyreDiameterM } from "#host/car/car.ts";
import { quarterMileRules } from "#host/car/quarter-mile.ts";
import { tyreLimitN } from "#host/car/settled/traction.ts";
import { airAt, geopotentialM } from "#host/plan/engine/atmosphere.ts";
import { testCar } from "../cars.ts";
import { json } from "../reference.ts";

const data = json("vehicle-dynamics.json");
const INCH = 0.0254;
const MPH = 0.44704;

describe("standard atmosphere (ISO 2533)", () => {
  test.each<{ H_geopotential_m: number; T_K: number; p_Pa: number; rho_kg_m3: number }>(
    data.standard_atmosphere.computed,
  )("$H_geopotential_m m", (row) => {
    const air = airAt(row.H_geopotential_m);
    expect(air.temperatureK).toBeCloseTo(row.T_K, 6);
    expect(air.pressurePa / row.p_Pa).toBeCloseTo(1, 5);
    expect(air.densityKgM3).toBeCloseTo(row.rho_kg_m3, 4);
  });

  test("3000 m geometric, as an independent library gives it", () => {
    const published = data.standard_atmosphere.check.geometric_3000_m;
    const air = airAt(geopotentialM(3000));
    expect(air.pressurePa / published.p_Pa).toBeCloseTo(1, 5);
    expect(air.densityKgM3 / published.rho).toBeCloseTo(1, 5);
  });

  test("far outside is refused", () => {
    expect(() => airAt(20_000)).toThrow(RangeError);
  });
});

describe("gearing and tyres", () => {
  const geared = (diameterIn: number, gear: number, final: number): CarData => ({
    ...testCar(),
    tyreRadiusM: (diameterIn * INCH) / 2,
    gears: [gear],
    finalDrive: final,
  });

  test("245/40-17, 8000 rpm, 0.771, 4.062: 187.9 mph with the round constant 336", () => {
    const [example] = data.speed_rpm_tyre.published_examples;
    const diameter = tyreDiameterM(0.245, 40, 17 * INCH) / INCH;
    expect(diameter).toBeCloseTo(example.diameter_in, 6);
    const exact = (example.mph * 336) / 336.13524;
    expect(lockedRpm(geared(diameter, example.gear, example.final), 0, exact * MPH)).toBeCloseTo(
      example.rpm,
      0,
    );
  });

  test("70 mph, 3.55, 26 in: 3211 rpm with the round constant 336", () => {
    const [, example] = data.speed_rpm_tyre.published_examples;
    const rpm = lockedRpm(geared(example.diameter_in, example.gear, example.final), 0, example.mph * MPH);
    expect(Math.abs(rpm / example.rpm - 1)).toBeLessThan(0.001);
  });
});

describe("traction limit of the published problem", () => {
  const { published_problem: problem } = data.weight_transfer;
  const answers = problem.answers_computed;
  const car = (driven: CarData["driven"]): CarData => ({
    ...testCar(),
    massKg: problem.m_kg,
    driven,
    wheelbaseM: problem.L_m,
    gravityHeightM: problem.h_m,
    gravityBehindFrontM: problem.x_m,
  });
  const acceleration = (driven: CarData["driven"]) =>
    (tyreLimitN(car(driven), problem.mu, 0) / problem.m_kg) * (problem.g / 9.80665);

  test.each([
    ["rear", answers.rear_drive_m_s2],
    ["front", answers.front_drive_m_s2],
    ["all", answers.all_wheel_m_s2],
  ] as const)("%s drive", (driven, expected) => {
    expect(acceleration(driven)).toBeCloseTo(expected, 3);
  });
});

describe("quarter-mile formulas", () => {
  test.each<{
    weight_lb: number;
    power_hp: number;
    hale: { ET_s: number; mph: number };
    fox: { ET_s: number };
  }>(data.straight_line.quarter_mile_formulas.computed)("$weight_lb lb, $power_hp hp", (row) => {
    const [hale, , fox] = quarterMileRules(row.weight_lb * 0.45359237, row.power_hp * 745.69987158);
    expect(hale!.timeS).toBeCloseTo(row.hale.ET_s, 3);
    expect(hale!.mph).toBeCloseTo(row.hale.mph, 3);
    expect(fox!.timeS).toBeCloseTo(row.fox.ET_s, 3);
  });
});
