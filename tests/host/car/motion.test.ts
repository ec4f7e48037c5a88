// The car in motion: it starts, changes up and reaches a quarter mile near what the settled run gives.
import { expect, test } from "vitest";
import { createMotion } from "#host/car/motion.ts";
import { QUARTER_MILE_M, simulate } from "#host/car/settled/run.ts";
import { testCar } from "../plan/cars.ts";

test("with grip to spare the quarter mile is within 2 % of the settled run", () => {
  const car = testCar({ grip: { curve: [[0, 2.5]], reserve: 0.1 } });
  const motion = createMotion(car);
  motion.input.pedal = 1;
  motion.input.hold = true;
  while (motion.timeS < 2) motion.step(0.001);
  motion.input.hold = false;
  while (motion.distanceM < QUARTER_MILE_M && motion.timeS < 40) motion.step(0.001);
  expect((motion.timeS - 2) / simulate(car).quarterS).toBeCloseTo(1, 1);
});
