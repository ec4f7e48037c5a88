// What adds up to a driver's lockout: ticks in which its pin has just moved count neither way, levels count apart, and pauses end it.
import { describe, expect, test } from "vitest";
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";
import { ADC_A } from "#shared-schema/model/pins.ts";
import type { Car } from "../../oracle/car.ts";
import type { Settings } from "../../oracle/settings.ts";
import {
  arm,
  fullSettings,
  modeOf,
  smallSettings,
  standingCar,
  ticks,
  ticksToFlow,
} from "../../oracle/stand.ts";

/** A disagreement must show in four ticks; one of its ticks outweighs sixteen without it. */
const LASTING_TICKS = 4;
const OUTWEIGHS = 16;
/** A valve so quick that no gap is made. */
const QUICK = { opening10VUs: 4000, opening12VUs: 4000, opening14VUs: 4000, closingUs: 3000 };

function settingsWith(permille: number): Settings {
  return smallSettings((s) => {
    s.flow.frequencyHz = 25;
    s.stages[0]!.nitrousSolenoid = { ...QUICK };
    s.stages[0]!.fuelSolenoid = { ...QUICK };
    s.stages[0]!.ramps[0]!.points = [
      [0, permille],
      [1, permille],
    ];
  });
}

function flowing(permille: number): Car {
  const car = arm(standingCar(settingsWith(permille)));
  expect(ticksToFlow(car, 200)).toBeGreaterThan(0);
  ticks(car, 200);
  return car;
}

/** For how many ticks the nitrous pin is seen low between its pulses; all the same. */
function lowTicks(car: Car): number | undefined {
  const lows = new Set<number>();
  let low = 0;
  for (let i = 0; i < 200; i++) {
    car.tick();
    if ((car.wiring.pins & 1) === 0) low++;
    else if (low > 0) {
      if (low < i) lows.add(low);
      low = 0;
    }
  }
  return lows.size === 1 ? [...lows][0] : undefined;
}

describe("a short that shows once between any two pulses", () => {
  /** Between two pulses: the tick that follows the edge, the one with the short, and so many good ones. */
  const mode = (good: number): string => {
    for (let permille = 495; permille < 560; permille += 5) {
      const car = flowing(permille);
      if (lowTicks(car) !== good + 2) continue;
      const { wiring } = car;
      const pass = wiring.pass.bind(wiring);
      let low = 0;
      wiring.pass = (us, keepAlive, batteryMv, levels) => {
        pass(us, keepAlive, batteryMv, levels);
        low = levels & 1 ? 0 : low + 1;
        if (low === 2) wiring.drainsMv[0] = 0;
      };
      ticks(car, 4000);
      return modeOf(car);
    }
    throw new Error(`no share leaves ${good} good ticks`);
  };

  test("adds up when fewer than sixteen good ticks follow it, whatever the edges of the pin do", () => {
    expect(mode(OUTWEIGHS)).toBe("flowing");
    expect(mode(OUTWEIGHS - 1)).toBe("locked");
  });
});

test("a driver that does not conduct for three ticks is forgiven when it has for as long as outweighs them", () => {
  const car = flowing(1000);
  expect(car.pin(0)).toBeGreaterThan(car.top);
  for (let n = 0; n < 8; n++) {
    car.wiring.stuckDrainsMv.set(0, 12_000);
    ticks(car, LASTING_TICKS - 1);
    car.wiring.stuckDrainsMv.clear();
    ticks(car, OUTWEIGHS * (LASTING_TICKS - 1));
  }
  expect(modeOf(car)).toBe("flowing");
  car.wiring.stuckDrainsMv.set(0, 12_000);
  ticks(car, LASTING_TICKS);
  expect(modeOf(car)).toBe("locked");
});

test("what was seen before the arm switch went off does not count after it", () => {
  const car = arm(standingCar(smallSettings()));
  const shorted = (): void => {
    car.wiring.stuckDrainsMv.set(0, 0);
    ticks(car, LASTING_TICKS - 1);
    car.wiring.stuckDrainsMv.clear();
  };
  shorted();
  arm(car);
  shorted();
  expect(modeOf(car)).toBe("armed");
});

test("a trip stays a trip when the battery's voltage goes with the supply", () => {
  const settings = fullSettings();
  const car = arm(standingCar(settings));
  car.stuckCodes.set(ADC_A.indexOf("manifold"), 0);
  ticks(car, 3);
  expect(INTERLOCKS[car.trip]?.id).toBe("SENSOR");
  car.point.batteryMv = 0;
  ticks(car, 100);
  expect(modeOf(car)).toBe("tripped");
});
