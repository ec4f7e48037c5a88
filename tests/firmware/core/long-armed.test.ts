// A controller that stays armed past the 71.6 minutes after which microseconds in 32 bits begin anew: nothing holds flow off by that.
import { expect, test } from "vitest";
import { arm, isFed, modeOf, smallSettings, standingCar, ticks, ticksToFlow } from "../../oracle/stand.ts";
import { reason } from "./interlock-moves.ts";

/** As long as the watchdog allows a tick to be, and ticks until shortly past that time. */
const TICK_US = 20_000;
const TICKS = 2 ** 32 / TICK_US + 500;

test("is armed all the time, and flows as soon as it is asked to", () => {
  const car = arm(standingCar(smallSettings()));
  const press = car.lift();
  ticks(car, 10, TICK_US);
  let doubted = 0;
  for (let i = 0; i < TICKS; i++) {
    car.tick(TICK_US);
    if (reason(car, "ARM")) doubted++;
  }
  expect(doubted).toBe(0);
  expect(modeOf(car)).toBe("armed");
  press();
  expect(ticksToFlow(car, 50)).toBeDefined();
  ticks(car, 100);
  expect(isFed(car)).toBe(true);
});
