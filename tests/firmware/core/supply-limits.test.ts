// The limits of the supply, to the step of the converter: how far behind the battery it may be, and how high either may lie.
import { expect, test } from "vitest";
import { SUPPLY_MV_PER_CODE } from "#shared-schema/model/blocks.ts";
import type { Car } from "../../oracle/car.ts";
import { flowingCar, isFed, smallSettings, ticks } from "../../oracle/stand.ts";

/** Row SUPPLY of the catalogue: more than 2 V off the battery, above 16.5 V. */
const APART_MV = 2000;
const HIGHEST_MV = 16_500;
const TICKS = 400;

/** Flows it in every tick of so many? */
function flows(car: Car): boolean {
  for (let i = 0; i < TICKS; i++) {
    ticks(car, 1);
    if (!isFed(car)) return false;
  }
  return true;
}

test.each([
  ["is at 16.5 V", HIGHEST_MV, true],
  ["is above 16.5 V", HIGHEST_MV + SUPPLY_MV_PER_CODE, false],
])("flow: battery %s", (_what, batteryMv, on) => {
  const car = flowingCar(smallSettings());
  car.point.batteryMv = batteryMv;
  expect(flows(car)).toBe(on);
});

test.each([
  ["2 V", APART_MV, true],
  ["more than 2 V", APART_MV + SUPPLY_MV_PER_CODE, false],
])("flow: supply %s below the battery", (_what, dropMv, on) => {
  const car = flowingCar(smallSettings());
  car.wiring.dropMv = dropMv;
  expect(flows(car)).toBe(on);
});
