// What a step reads of a car against the car's own formulas.
import { fc, test } from "@fast-check/vitest";
import { expect } from "vitest";
import { ratioOf } from "#host/car/car.ts";
import { Driveline } from "#host/car/driveline.ts";
import { testCar } from "../plan/cars.ts";

const gears = fc.array(fc.double({ min: 0.5, max: 4, noNaN: true }), { minLength: 1, maxLength: 6 });

test.prop([gears, fc.constantFrom("rear", "front", "all"), fc.double({ min: 0.2, max: 0.5, noNaN: true })], {
  numRuns: 50,
})(
  "each gear's ratio, force and turning mass, and the masses of car and wheels",
  (ratios, driven, radiusM) => {
    const car = testCar({ gears: ratios, driven, tyreRadiusM: radiusM });
    const line = new Driveline(car);
    const wheels = driven === "all" ? 1 : 0.5;
    expect(line.wheelKg).toBeCloseTo((wheels * car.wheelInertiaKgM2) / radiusM ** 2, 9);
    expect(line.carKg + line.wheelKg).toBeCloseTo(car.massKg + car.wheelInertiaKgM2 / radiusM ** 2, 9);
    for (const gear of ratios.keys()) {
      const ratio = ratioOf(car, gear);
      expect(line.ratio[gear]).toBe(ratio);
      expect(line.perM[gear]).toBeCloseTo(ratio / radiusM, 9);
      expect(line.perNm[gear]).toBeCloseTo((ratio / radiusM) * car.efficiency, 9);
      const engineKg = car.engineInertiaKgM2 * (ratio / radiusM) ** 2;
      expect(line.lockedKg[gear]).toBeCloseTo(line.wheelKg + engineKg, 9);
    }
  },
);
