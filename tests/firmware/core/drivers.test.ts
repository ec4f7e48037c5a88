// Each solenoid driver against its drain while armed: which one, what is wrong with it, at which voltage, and for how long.
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
  TURN_TICKS,
  ticks,
  ticksToFlow,
} from "../../oracle/stand.ts";

/** A disagreement must show in four ticks; one of its ticks outweighs sixteen without it. */
const LASTING_TICKS = 4;
const OUTWEIGHS = 16;
const KINDS = { shorted: 1, openLoad: 2, stuck: 3 } as const;
/** Pins of fullSettings: its fourth stage is dry. */
const CONFIGURED = [0, 1, 2, 3, 4, 5, 6];
const UNUSED = 7;
/** A valve that opens and closes in a few milliseconds: periods of 25 ms have room for any share. */
const QUICK = { opening10VUs: 4000, opening12VUs: 4000, opening14VUs: 4000, closingUs: 3000 };

/** Every pin stays low: the throttle is closed. */
function restingCar(): Car {
  const car = arm(standingCar(fullSettings()));
  car.set("throttle", false);
  car.point.throttleMv = fullSettings().throttle.position!.closedMv;
  ticks(car, 40);
  return car;
}

/** One wet stage, its two pins always high: a valve so quick that no gap is made. */
function fullFlow(): Car {
  const settings = smallSettings((s) => {
    s.stages[0]!.nitrousSolenoid.closingUs = 3000;
    s.stages[0]!.fuelSolenoid!.closingUs = 3000;
    s.stages[0]!.ramps[0]!.points = [
      [0, 1000],
      [1, 1000],
    ];
  });
  const car = arm(standingCar(settings));
  expect(ticksToFlow(car, 200)).toBeGreaterThan(0);
  ticks(car, 300);
  expect(car.pin(0)).toBeGreaterThan(car.top);
  return car;
}

/** One wet stage in pulses. */
function pulsedFlow(change = (_: Settings): void => {}): Car {
  const car = arm(standingCar(smallSettings(change)));
  expect(ticksToFlow(car, 200)).toBeGreaterThan(0);
  ticks(car, 300);
  expect(car.pin(1)).toBeLessThan(car.top);
  return car;
}

/** Ticks until it locks; undefined when it does not within `most`. */
function ticksToLock(car: Car, most: number): number | undefined {
  for (let i = 1; i <= most; i++) {
    car.tick();
    if (modeOf(car) === "locked") return i;
  }
  return undefined;
}

function expectLock(car: Car, channel: number, kind: number): void {
  expect(ticksToLock(car, 2 * LASTING_TICKS)).toBe(LASTING_TICKS);
  expect(INTERLOCKS[car.trip]?.id).toBe("DRIVER");
  expect(car.rig.live.get("tripValue")).toBe((channel + 1) * 256 + kind);
}

describe("with its pin low", () => {
  test.each(CONFIGURED)("driver %i is told apart from the others", (channel) => {
    for (const [mv, kind] of [
      [0, KINDS.shorted],
      [1195, KINDS.shorted],
      [1200, KINDS.openLoad],
      [4495, KINDS.openLoad],
    ] as const) {
      const car = restingCar();
      car.wiring.stuckDrainsMv.set(channel, mv);
      expectLock(car, channel, kind);
    }
  });

  test("a load that pulls its drain up to 4500 mV is there", () => {
    const car = restingCar();
    for (const channel of CONFIGURED) car.wiring.stuckDrainsMv.set(channel, 4500);
    expect(ticksToLock(car, 200)).toBeUndefined();
  });

  test("a driver without a solenoid in the settings is not looked at", () => {
    const car = restingCar();
    car.wiring.stuckDrainsMv.set(UNUSED, 0);
    expect(ticksToLock(car, 200)).toBeUndefined();
    const other = standingCar(fullSettings());
    other.wiring.stuckDrainsMv.set(UNUSED, 0);
    expect(modeOf(arm(other))).toBe("armed");
  });

  test("three ticks are not enough, nor what is well again for long enough", () => {
    const car = restingCar();
    for (let n = 0; n < 8; n++) {
      car.wiring.stuckDrainsMv.set(2, 0);
      ticks(car, LASTING_TICKS - 1);
      car.wiring.stuckDrainsMv.clear();
      ticks(car, OUTWEIGHS * (LASTING_TICKS - 1));
    }
    expect(modeOf(car)).toBe("armed");
    car.wiring.stuckDrainsMv.set(2, 0);
    expectLock(car, 2, KINDS.shorted);
  });

  test("what comes back before it is outweighed adds up", () => {
    const car = restingCar();
    const each = (good: number): void => {
      car.wiring.stuckDrainsMv.set(2, 0);
      car.tick();
      car.wiring.stuckDrainsMv.clear();
      ticks(car, good);
    };
    for (let n = 0; n < 40; n++) each(OUTWEIGHS);
    expect(modeOf(car)).toBe("armed");
    for (let n = 0; n < 70 && modeOf(car) === "armed"; n++) each(OUTWEIGHS - 1);
    expect(modeOf(car)).toBe("locked");
  });

  test("a fault that shows after a trip, before the relay has opened, still locks out", () => {
    for (const late of [0, 1, 3]) {
      const car = restingCar();
      car.stuckCodes.set(ADC_A.indexOf("manifold"), 0);
      ticks(car, 3);
      expect(INTERLOCKS[car.trip]?.id).toBe("SENSOR");
      ticks(car, late);
      car.wiring.stuckDrainsMv.set(4, 0);
      expectLock(car, 4, KINDS.shorted);
    }
  });

  test("a trip stays a trip when the supply goes and takes the drains along", () => {
    const car = restingCar();
    car.stuckCodes.set(ADC_A.indexOf("manifold"), 0);
    ticks(car, 100);
    expect(car.wiring.supplyMv).toBe(0);
    expect(INTERLOCKS[car.trip]?.id).toBe("SENSOR");
    expect(modeOf(car)).toBe("tripped");
  });

  test("converters that are not live accuse no driver", () => {
    const car = restingCar();
    car.raw.adcMissing = 0xff00;
    for (const channel of CONFIGURED) car.wiring.stuckDrainsMv.set(channel, 0);
    ticks(car, 10);
    expect(INTERLOCKS[car.trip]?.id).toBe("ADC");
    const other = restingCar();
    other.wiring.stuckDrainsMv.set(2, 0);
    ticks(other, LASTING_TICKS - 2);
    other.raw.adcMissing = 0xff00;
    ticks(other, 2);
    other.raw.adcMissing = 0;
    other.wiring.stuckDrainsMv.clear();
    ticks(other, 20);
    expect(modeOf(other), "nor are they counted with others").toBe("armed");
  });
});

test("the last of eight drivers is looked at as all others are, at arming and armed", () => {
  const settings = fullSettings((s) => {
    s.stages[3] = { ...structuredClone(s.stages[0]!), portionPermille: s.stages[3]!.portionPermille };
  });
  const bad = standingCar(settings);
  bad.wiring.stuckDrainsMv.set(UNUSED, 0);
  expect(() => arm(bad)).toThrow("locked");
  expect(bad.rig.live.get("tripValue")).toBe((UNUSED + 1) * 256 + KINDS.shorted);
  const dead = standingCar(settings);
  dead.wiring.stuckDrainsMv.set(UNUSED, 12_000);
  expect(() => arm(dead)).toThrow("locked");
  expect(dead.rig.live.get("tripValue")).toBe((UNUSED + 1) * 256 + KINDS.stuck);
  const car = standingCar(settings);
  car.point.throttleMv = settings.throttle.position!.closedMv;
  arm(car);
  car.wiring.stuckDrainsMv.set(UNUSED, 0);
  expectLock(car, UNUSED, KINDS.shorted);
});

describe("with its pin high", () => {
  test.each([0, 1])("driver %i must pull its drain below 4500 mV", (channel) => {
    const car = fullFlow();
    car.wiring.stuckDrainsMv.set(channel, 4495);
    expect(ticksToLock(car, 200)).toBeUndefined();
    car.wiring.stuckDrainsMv.set(channel, 4500);
    expectLock(car, channel, KINDS.stuck);
  });

  test("dead for the first part of each pulse is found within the first pulse that has enough of it", () => {
    for (const deadTicks of [5, 8, 11]) {
      const car = pulsedFlow();
      let high = 0;
      let pulses = 0;
      for (let i = 0; i < 400 && modeOf(car) !== "locked"; i++) {
        high = (car.wiring.pins & 2) !== 0 ? high + 1 : 0;
        if (high === 1) pulses++;
        if (high < deadTicks) car.wiring.stuckDrainsMv.set(1, 12_000);
        else car.wiring.stuckDrainsMv.delete(1);
        car.tick();
      }
      expect(modeOf(car), `dead for ${deadTicks} ms`).toBe("locked");
      expect(pulses).toBeLessThanOrEqual(2);
      expect(car.rig.live.get("tripValue")).toBe(2 * 256 + KINDS.stuck);
    }
  });

  test("a drain that lags behind its pin by a tick at every edge accuses nobody, however short lows and pulses are", () => {
    for (const permille of [300, 600, 800]) {
      const car = pulsedFlow((s) => {
        s.flow.frequencyHz = 40;
        for (const solenoid of [s.stages[0]!.nitrousSolenoid, s.stages[0]!.fuelSolenoid!])
          Object.assign(solenoid, QUICK);
        s.stages[0]!.ramps[0]!.points = [
          [0, permille],
          [1, permille],
        ];
      });
      let before = 0;
      let low = 0;
      for (let i = 0; i < 2000; i++) {
        for (const n of [0, 1]) car.wiring.stuckDrainsMv.set(n, (before >> n) & 1 ? 100 : 12_000);
        car.tick();
        before = car.wiring.pins;
        if ((before & 1) === 0) low++;
      }
      expect(modeOf(car), `${permille} permille`).toBe("flowing");
      expect(low).toBeGreaterThan(100);
    }
  });

  test("what was seen high is not forgotten in the lows between, nor counted with them", () => {
    const car = pulsedFlow();
    car.wiring.stuckDrainsMv.set(0, 12_000);
    expect(ticksToLock(car, 200)).toBeGreaterThanOrEqual(LASTING_TICKS);
    expect(car.rig.live.get("tripValue")).toBe(256 + KINDS.stuck);
  });

  test("what was seen is forgotten when it is switched off, short of a lockout", () => {
    const car = fullFlow();
    const bad = (): void => {
      car.wiring.stuckDrainsMv.set(0, 12_000);
      ticks(car, LASTING_TICKS - 1);
      car.wiring.stuckDrainsMv.clear();
    };
    bad();
    arm(car);
    expect(ticksToFlow(car, 200)).toBeGreaterThan(0);
    while ((car.wiring.pins & 1) === 0) car.tick();
    bad();
    ticks(car, 50);
    expect(modeOf(car)).toBe("flowing");
  });
});

describe("without a supply behind the relay", () => {
  test("a missing supply is told as such, not as eight drivers, at 1.2 V and in four turns of it", () => {
    const car = restingCar();
    const supply = (mv: number): void => {
      car.point.batteryMv = mv;
      for (const channel of CONFIGURED) car.wiring.stuckDrainsMv.set(channel, 0);
    };
    supply(1195);
    const took = ticksToLock(car, 40);
    expect(INTERLOCKS[car.trip]?.id).toBe("KEEP-ALIVE");
    expect(car.rig.live.get("tripValue")).toBe(1195);
    expect(took).toBeGreaterThan((LASTING_TICKS - 1) * TURN_TICKS);
    const other = restingCar();
    other.point.batteryMv = 1200;
    for (const channel of CONFIGURED) other.wiring.stuckDrainsMv.set(channel, channel === 0 ? 0 : 12_000);
    expectLock(other, 0, KINDS.shorted);
  });
});
