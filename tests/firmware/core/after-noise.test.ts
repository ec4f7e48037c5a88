// What noise at the arm switch leaves of a stage: ready to flow when the switch has been steady, with a first pulse, and closed where its window was left.
import { describe, expect, test } from "vitest";
import { TICK_US } from "#shared-schema/model/blocks.ts";
import type { Car } from "../../oracle/car.ts";
import { lineOf, mvAt, type Settings, type Solenoid } from "../../oracle/settings.ts";
import { arm, flowingCar, smallSettings, standingCar, TURN_TICKS, ticks } from "../../oracle/stand.ts";
import { full } from "./interlock-moves.ts";

/** The switch must be steady for 5 ms: flow goes on in the tick after that. */
const STEADY_TICKS = 6;
/** Closes long before the switch has been steady. */
const QUICK: Solenoid = { opening10VUs: 6000, opening12VUs: 5000, opening14VUs: 4000, closingUs: 1500 };
const PERIOD_US = 50_000;

function withNoise(car: Car): void {
  car.set("arm", false);
  car.tick();
  car.set("arm", true);
}

function quick(change: (settings: Settings) => void = () => {}): Settings {
  return smallSettings((s) => {
    s.stages[0]!.nitrousSolenoid = s.stages[0]!.fuelSolenoid = QUICK;
    change(s);
  });
}

/** Ticks until the nitrous pin rises, and for how long it is on then, microseconds. Throws when it does not fall within three periods. */
function firstPulse(car: Car): { afterTicks: number; us: number } {
  let rise = { tick: 0, us: 0 };
  for (let tick = 1; tick < (3 * PERIOD_US) / TICK_US; tick++) {
    car.tick();
    for (const { pin, level, us } of car.edges) {
      if (pin !== 0) continue;
      if (!level && rise.tick > 0) return { afterTicks: rise.tick, us: us - rise.us };
      if (level) rise = { tick, us };
    }
  }
  throw new Error(rise.tick === 0 ? "the pin stays low" : "the pin stays high");
}

describe("valves that close within the time in which the switch must be steady", () => {
  test.each([
    [600, 0.6 * PERIOD_US],
    [1000, PERIOD_US],
  ])("let flow go on at once then, with one pulse, in any turn: %i permille", (share, most) => {
    const settings = quick((s) => {
      s.stages[0]!.ramps[0]!.points = [
        [0, share],
        [1, share],
      ];
    });
    for (let turn = 0; turn < TURN_TICKS; turn++) {
      const car = flowingCar(settings);
      ticks(car, 300 + turn);
      withNoise(car);
      const { afterTicks, us } = firstPulse(car);
      expect(afterTicks, `in turn ${turn}`).toBe(STEADY_TICKS);
      expect(us).toBeGreaterThan(most / 2);
      expect(us).toBeLessThan(most + QUICK.opening12VUs - QUICK.closingUs);
      expect(us).toBeLessThan(PERIOD_US);
    }
  });
});

test("a stage whose window is left in the noise, and entered again before it ends, begins anew", () => {
  const settings = quick((s) => {
    s.manifold = structuredClone(full.manifold!);
    delete s.manifold.overboost;
    s.stages[0]!.manifold = { openDeciKpa: 900, closeDeciKpa: 1000, hysteresisDeciKpa: 20 };
    s.flow.afterLift = "restart";
    s.stages[0]!.ramps[0]!.points = [
      [0, 200],
      [3000, 1000],
    ];
  });
  const put = (car: Car, deciKpa: number): void => {
    car.point.manifoldMv = mvAt(lineOf(settings, "manifold")!, deciKpa);
  };
  for (const left of [false, true]) {
    const car = standingCar(settings);
    put(car, 950);
    arm(car);
    ticks(car, 1500);
    const before = car.sharePermille(0);
    expect(before).toBeGreaterThan(400);
    withNoise(car);
    if (left) put(car, 1100);
    ticks(car, TURN_TICKS);
    put(car, 950);
    ticks(car, 40);
    if (left) expect(car.sharePermille(0)).toBeLessThan(300);
    else expect(car.sharePermille(0)).toBeGreaterThanOrEqual(before);
  }
});
