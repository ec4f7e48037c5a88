/** Any car and any driver, for properties of the stepped motion. */
import { fc } from "@fast-check/vitest";
import type { CarData } from "#host/car/car.ts";
import { testCar } from "../plan/cars.ts";
import { gripOf } from "./drive.ts";

/** Length of a step, s. */
export const STEP_S = 0.001;

/** Light and heavy cars on poor and good grip, weak and strong. */
export const anyCar = fc
  .record({
    driven: fc.constantFrom<CarData["driven"]>("rear", "front", "all"),
    massKg: fc.double({ min: 800, max: 2200, noNaN: true }),
    friction: fc.double({ min: 0.7, max: 2.2, noNaN: true }),
    torque: fc.double({ min: 0.5, max: 2, noNaN: true }),
    shiftS: fc.double({ min: 0.05, max: 0.4, noNaN: true }),
  })
  .map(({ driven, massKg, friction, torque, shiftS }) =>
    testCar({
      driven,
      massKg,
      shiftS,
      grip: gripOf(friction),
      torque: testCar().torque.map(([rpm, nm]) => [rpm, nm * torque] as const),
    }),
  );

/** Drivers that lift or do not, mind wheelspin or do not, feed the clutch or let it bite. */
export const anyDriver = fc.record({
  shift: fc.constantFrom<"lift" | "flat">("lift", "flat"),
  spin: fc.constantFrom<"held" | "flat" | "feather">("held", "flat", "feather"),
  clutchShare: fc.constantFrom(0.9, 1, Number.POSITIVE_INFINITY),
});
