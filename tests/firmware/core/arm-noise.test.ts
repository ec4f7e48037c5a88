// Noise at the arm switch: short offs stop flow but keep its place; too many of them disarm.
import { describe, expect, test } from "vitest";
import type { Car } from "../../oracle/car.ts";
import {
  arm,
  flowingCar,
  isFed,
  modeOf,
  smallSettings,
  standingCar,
  TURN_TICKS,
  ticks,
  ticksToFlow,
} from "../../oracle/stand.ts";
import { expectFlow, reason } from "./interlock-moves.ts";

const BOUNCE_TICKS = 4;
/** The switch must be steady again for 5 ms; and the valves, shut by the noise, must have closed: then the stage's next turn. */
const STEADY_TICKS = 6;
const CLOSED_TICKS = Math.ceil(smallSettings().stages[0]!.nitrousSolenoid.closingUs / 1000) + 1 + TURN_TICKS;

/** After so many ticks of noise: does flow go on no sooner, and no later, than it may? */
function expectFlowAgain(car: Car, offTicks: number): void {
  const after = ticksToFlow(car, 2 * CLOSED_TICKS);
  expect(after).toBeGreaterThanOrEqual(STEADY_TICKS);
  expect(after).toBeLessThanOrEqual(Math.max(STEADY_TICKS, CLOSED_TICKS - offTicks));
}

describe("noise at the arm switch", () => {
  /** An off of some ticks. */
  function bounce(car: Car, offTicks: number): void {
    car.set("arm", false);
    ticks(car, offTicks);
    car.set("arm", true);
  }

  test("an off shorter than 5 ms stops flow until the switch is steady for 5 ms and the valves have closed, and keeps the place in the ramp", () => {
    const slow = smallSettings((s) => {
      s.stages[0]!.ramps[0]!.points = [
        [0, 0],
        [4000, 1000],
      ];
    });
    const car = arm(standingCar(slow));
    ticks(car, 1500);
    const share = car.sharePermille(0);
    bounce(car, BOUNCE_TICKS);
    expect(isFed(car)).toBe(false);
    expectFlowAgain(car, BOUNCE_TICKS);
    expect(car.sharePermille(0)).toBeGreaterThanOrEqual(share);
    expect(car.sharePermille(0)).toBeLessThan(share + 10);
    expect(car.rig.live.get("noiseCuts")).toBe(1);
  });

  test("a cut that was over between two ticks counts the same", () => {
    const car = flowingCar(smallSettings());
    car.raw.armCuts += 2;
    expect(isFed(car), "the board holds the pins until the core has seen the cut").toBe(false);
    expectFlowAgain(car, 0);
    expect(car.rig.live.get("noiseCuts")).toBe(1);
  });

  test("a stage that has left its own window meanwhile does not flow again when the noise is over", () => {
    const settings = smallSettings((s) => {
      s.road = { pulsesPerKm: 60_000, sender: "driveshaft" };
      s.stages[0]!.roadSpeed = { openDeciKmh: 200, closeDeciKmh: 1000, hysteresisDeciKmh: 20 };
    });
    for (let turn = 0; turn < TURN_TICKS; turn++) {
      const car = flowingCar(settings);
      ticks(car, turn);
      bounce(car, 0);
      car.point.deciKmh = 1100;
      expect(ticksToFlow(car, 100)).toBeUndefined();
      expect(reason(car, "SPEED-WIN")).toBe(true);
    }
  });

  test("more than three cuts in one armed period disarm; a new period counts anew", () => {
    const car = flowingCar(smallSettings());
    for (let period = 0; period < 2; period++) {
      for (let i = 0; i < 3; i++) {
        bounce(car, 2);
        expectFlowAgain(car, 2);
      }
      bounce(car, 2);
      expect(ticksToFlow(car, 400)).toBeUndefined();
      expect(modeOf(car)).toBe("off");
      arm(car);
      expectFlow(car);
    }
  });
});
