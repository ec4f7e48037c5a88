/** Gearing, traction and quarter-mile formulas against vehicle-dynamics.json (sources stand there). */
import { describe, expect, test } from "vitest";
import { type CarData, lockedRpm, speedAtRpm, tyreDiameterM } from "#host/car/car.ts";
import { quarterMileRules } from "#host/car/quarter-mile.ts";
import { tyreLimitN } from "#host/car/settled/traction.ts";
import { assumedCurve } from "#host/car/torque-curve.ts";
import { HORSEPOWER_W, POUND_KG, STANDARD_GRAVITY } from "#host/units/constants.ts";
import { testCar } from "../plan/cars.ts";
import { json } from "../plan/reference.ts";
import { gripOf, motionOf, quarterS, STAND_S, standing } from "./drive.ts";

const data = json("vehicle-dynamics.json");
const INCH = 0.0254;
const MPH = 0.44704;

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
  const car = (driven: CarData["driven"]): CarData =>
    testCar({
      massKg: problem.m_kg,
      driven,
      wheelbaseM: problem.L_m,
      gravityHeightM: problem.h_m,
      gravityBehindFrontM: problem.x_m,
      grip: gripOf(problem.mu),
      rolling: 0,
      dragAreaM2: 0,
      wheelInertiaKgM2: 0.2,
      torque: [[0, 420]],
    });
  const gravity = problem.g / STANDARD_GRAVITY;
  const rows = [
    ["rear", answers.rear_drive_m_s2],
    ["front", answers.front_drive_m_s2],
    ["all", answers.all_wheel_m_s2],
  ] as const;

  test.each(rows)("%s drive, by the balance of forces", (driven, expected) => {
    expect((tyreLimitN(car(driven), problem.mu, 0) / problem.m_kg) * gravity).toBeCloseTo(expected, 3);
  });

  test.each(rows)(
    "%s drive, driven away by a clutch that feeds the limit: within 1 per cent",
    (driven, expected) => {
      const motion = standing(car(driven), { clutchShare: 1 });
      while (motion.timeS < STAND_S + 1.2) motion.step(0.001);
      expect(motion.clutch).toBe("slipping");
      expect(Math.abs((motion.accelerationMS2 * gravity) / expected - 1)).toBeLessThan(0.01);
      if (driven !== "rear") return;
      expect(Math.abs((motion.loadN * gravity) / answers.rear_axle_load_N_at_limit_rwd - 1)).toBeLessThan(
        0.01,
      );
    },
  );
});

describe("published quarter miles", () => {
  /** A car with grip to spare and a usual engine and gearbox; it ends in its last gear but one. */
  function usualCar(massKg: number, powerW: number, endMph: number): CarData {
    const [gears, shiftRpm] = [[3.2, 2.1, 1.5, 1.15, 0.9], 6400] as const;
    const unit = testCar({ gears, finalDrive: 1 });
    return testCar({
      massKg,
      gears,
      finalDrive: speedAtRpm(unit, 3, shiftRpm) / (endMph * MPH * 1.03),
      shiftRpm,
      shiftS: 0.2,
      launchRpm: 4500,
      grip: gripOf(3),
      torque: assumedCurve(powerW, 6000, 6900),
      motion: motionOf({ limiterRpm: 6900 }),
    });
  }

  test.each<{
    weight_lb: number;
    power_hp: number;
    hale: { ET_s: number; mph: number };
    huntington: { ET_s: number; mph: number };
  }>(data.straight_line.quarter_mile_formulas.computed)(
    "$weight_lb lb, $power_hp hp: the stepped run lies between the formulas, time within 6 per cent, speed within 8",
    ({ weight_lb, power_hp, hale, huntington }) => {
      const motion = standing(usualCar(weight_lb * POUND_KG, power_hp * HORSEPOWER_W, hale.mph));
      const timeS = quarterS(motion);
      expect(timeS).toBeGreaterThan(0.94 * hale.ET_s);
      expect(timeS).toBeLessThan(1.06 * huntington.ET_s);
      expect(motion.speedMS / MPH).toBeGreaterThan(0.92 * huntington.mph);
      expect(motion.speedMS / MPH).toBeLessThan(1.08 * hale.mph);
    },
  );
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
