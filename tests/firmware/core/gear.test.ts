// A gear is as wide as its tolerance says, down to the narrowest that may be set and for the smallest ratios.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";
import { flowingCar, isFed, smallSettings, ticks } from "../../oracle/stand.ts";
import { runs } from "../../support/effort.ts";
import { NONE } from "./interlock-moves.ts";

const PULSES_PER_KM = 5000;
const RPM = 5000;
/** Both speeds are told in whole units and their pulses to 1 us: far less than the narrowest tolerance at these speeds. */
const ROUNDING_PERMILLE = 4;

/** Ratios at which 5000 rpm are 50 to 500 km/h. */
const ratio = fc.integer({ min: 100, max: 1000 });
const tolerance = fc.integer({ min: 10, max: 150 });

function fedAt(ratioDeciRpmPerKmh: number, tolerancePermille: number, offPermille: number): boolean {
  const settings = smallSettings((s) => {
    s.road = { pulsesPerKm: PULSES_PER_KM, sender: "driveshaft" };
    s.gearbox = { tolerancePermille, gears: [{ ratioDeciRpmPerKmh }] };
    s.windows.gears = { lowest: "first", highest: "first" };
  });
  const deciKmh = (100 * RPM) / ratioDeciRpmPerKmh;
  const car = flowingCar(settings, { rpm: RPM, deciKmh });
  car.point.deciKmh = deciKmh / (1 + offPermille / 1000);
  ticks(car, 300);
  expect(INTERLOCKS[car.trip]?.id ?? car.trip).toBe(NONE);
  return isFed(car);
}

describe("a gear", () => {
  test.prop([ratio, tolerance, fc.constantFrom(-1, 1)], runs(60))(
    "holds what is off by less than its tolerance, and nothing that is off by more",
    (its, permille, side) => {
      expect(fedAt(its, permille, side * (permille - ROUNDING_PERMILLE))).toBe(true);
      expect(fedAt(its, permille, side * (permille + ROUNDING_PERMILLE))).toBe(false);
    },
  );
});
