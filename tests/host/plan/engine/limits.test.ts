/** Opening speed: the torque of a constant power falls with speed, and nothing opens under 3000 rpm (common practice). */
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { assumedCurve } from "#host/car/torque-curve.ts";
import {
  LOWEST_OPEN_RPM,
  largestAddedW,
  lowestOpenRpm,
  type PartLimit,
  tightestPart,
  torqueLimit,
  torqueWith,
} from "#host/plan/engine/limits.ts";

const curve = assumedCurve(220e3, 6000, 6800);
const torque = fc.double({ min: 430, max: 900, noNaN: true });
const power = fc.double({ min: 10e3, max: 200e3, noNaN: true });

describe("opening speed", () => {
  test.prop([torque, power])(
    "holds every limit from there up, and is the lowest step that does",
    (torqueNm, addedW) => {
      const limits: PartLimit[] = [{ part: "rods", torqueNm }];
      const open = lowestOpenRpm(curve, addedW, limits, 6500, 100);
      const fits = (rpm: number) => torqueWith(curve, addedW, rpm) <= torqueLimit(limits, rpm);
      if (open === undefined) {
        expect([6000, 6100, 6200, 6300, 6400].every(fits) && fits(5900)).toBe(false);
        return;
      }
      expect(open).toBeGreaterThanOrEqual(LOWEST_OPEN_RPM + 100);
      for (let rpm = open - 100; rpm <= 6400; rpm += 50) expect(fits(rpm)).toBe(true);
      if (open > LOWEST_OPEN_RPM + 100) expect(fits(open - 150)).toBe(false);
    },
  );

  test("without limits it is 3000 rpm and its hysteresis", () => {
    expect(lowestOpenRpm(curve, 1e6, [], 6500, 100)).toBe(3100);
  });

  test.prop([torque, power, power])("more power never opens earlier", (torqueNm, a, b) => {
    const open = (addedW: number) =>
      lowestOpenRpm(curve, addedW, [{ part: "clutch", torqueNm }], 6500, 100) ?? 9999;
    expect(open(Math.max(a, b))).toBeGreaterThanOrEqual(open(Math.min(a, b)));
  });

  test.prop([torque])("the largest power has an opening speed, a little more has none", (torqueNm) => {
    const limits: PartLimit[] = [
      { part: "gearbox", torqueNm },
      { part: "rods", powerW: 5e6 },
    ];
    const largest = largestAddedW(curve, limits, 6500, 100, 2e6);
    if (largest > 0) expect(lowestOpenRpm(curve, largest, limits, 6500, 100)).toBeGreaterThan(3000);
    expect(lowestOpenRpm(curve, largest * 1.001 + 10, limits, 6500, 100)).toBeUndefined();
    expect(tightestPart(curve, limits, 3100, 6500).part).toBe("gearbox");
  });
});
