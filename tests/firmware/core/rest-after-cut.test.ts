// How long a stage rests that noise at the arm switch has cut: until its valves have closed and half a millisecond more, and then no longer than to its turn.
import { expect, test } from "vitest";
import { flowingCar, smallSettings, TURN_TICKS, ticks } from "../../oracle/stand.ts";

const OPENING_US = 9000;
/** What is waited for besides: pins that follow late (decision 0042). */
const LATE_US = 500;
const TURN_US = 1000 * TURN_TICKS;
/** Rounding of the closing time, microseconds. */
const ROUNDING_US = 10;

/** From the cut to flow again. */
function restUs(closingUs: number): number {
  const car = flowingCar(
    smallSettings((s) => {
      const [stage] = s.stages;
      stage!.nitrousSolenoid = stage!.fuelSolenoid = {
        ...{ opening10VUs: OPENING_US, opening12VUs: OPENING_US, opening14VUs: OPENING_US },
        closingUs,
      };
    }),
  );
  ticks(car, 100);
  expect(car.runs).toBe(1);
  car.set("arm", false);
  car.tick();
  const cutUs = car.raw.nowUs;
  car.set("arm", true);
  for (let i = 0; i < 50; i++) {
    car.tick();
    if (car.runs) return car.raw.nowUs - cutUs;
  }
  throw new Error("the stage stays shut");
}

test("the rest is the closing time and half a millisecond, up to the stage's next turn", () => {
  const rests = new Set<number>();
  for (let closingUs = 6000; closingUs < 6000 + 2 * TURN_US; closingUs += 100) {
    const rest = restUs(closingUs);
    rests.add(rest);
    expect(rest, `${closingUs} us to close`).toBeGreaterThanOrEqual(closingUs + LATE_US);
    expect(rest, `${closingUs} us to close`).toBeLessThan(closingUs + LATE_US + TURN_US + ROUNDING_US);
  }
  expect(rests.size).toBeGreaterThan(1);
});
