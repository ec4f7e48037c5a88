/** Drives a car in motion from its start over a quarter mile. */
import { ASSUMED_MOTION, type CarData, type MotionData } from "#host/car/car.ts";
import { ASSUMED_DRIVER, type Driver } from "#host/car/driver.ts";
import { createMotion, type Motion } from "#host/car/motion.ts";
import { QUARTER_MILE_M } from "#host/car/quarter-mile.ts";
import { testCar } from "../plan/cars.ts";

/** How long the car stands with its pedal down before it is let go, s. */
export const STAND_S = 1.5;
const LONGEST_S = 60;

/** A car that stands at launch speed with its pedal down, and is let go at the next step. */
export function standing(car: CarData, driver: Partial<Driver> = {}, dtS = 0.001): Motion {
  const motion = createMotion(car, { ...ASSUMED_DRIVER, ...driver });
  motion.input.pedal = 1;
  motion.input.hold = true;
  for (let k = 0; k < STAND_S / dtS; k++) motion.step(dtS);
  motion.input.hold = false;
  return motion;
}

/** Time, s, from the go to the quarter mile, between steps; `each` sees the car after every step. Infinity when it takes over a minute. */
export function quarterS(motion: Motion, dtS = 0.001, each: (motion: Motion) => void = () => {}): number {
  const startS = motion.timeS;
  while (motion.timeS < startS + LONGEST_S) {
    motion.step(dtS);
    each(motion);
    if (motion.distanceM >= QUARTER_MILE_M)
      return motion.timeS - startS - (motion.distanceM - QUARTER_MILE_M) / motion.speedMS;
  }
  return Number.POSITIVE_INFINITY;
}

/** Grip of a plain limit. */
export const gripOf = (friction: number): CarData["grip"] => ({ curve: [[0, friction]], reserve: 0.1 });

/** Assumed motion data with changes. */
export const motionOf = (change: Partial<MotionData>): MotionData => ({ ...ASSUMED_MOTION, ...change });

/** A car with one gear, without resistance or losses, whose engine makes one power at any speed. */
export function idealCar(powerW: number): CarData {
  const torque = Array.from({ length: 400 }, (_, i) => {
    const rpm = 50 + 50 * i;
    return [rpm, powerW / ((rpm * Math.PI) / 30)] as const;
  });
  return testCar({
    driven: "all",
    dragAreaM2: 0,
    rolling: 0,
    efficiency: 1,
    launchRpm: 50,
    shiftRpm: 1e9,
    gears: [1],
    finalDrive: 3,
    torque,
    grip: gripOf(1000),
    motion: motionOf({ idleRpm: 40, limiterRpm: 1e9 }),
  });
}
