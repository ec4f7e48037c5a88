// Each solenoid driver against its drain while armed: which one, what is wrong with it, at which voltage, and for how long.
import { describe, expect, test } from "vitest";
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";
import type { Car } from "../../oracle/car.ts";
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

/** A disagreement must show in four turns of the driver. */
const LASTING_TURNS = 4;
const KINDS = { shorted: 1, openLoad: 2, stuck: 3 } as const;
/** Pins of fullSettings: its fourth stage is dry. */
const CONFIGURED = [0, 1, 2, 3, 4, 5, 6];
const UNUSED = 7;

/** Every pin stays low: the throttle is closed. */
function restingCar(): Car {
  const car = arm(standingCar(fullSettings()));
  car.set("throttle", false);
  car.point.throttleMv = fullSettings().throttle.position!.closedMv;
  ticks(car, 40);
  return car;
}

/** One wet stage, its two pins always high. */
function fullFlow(): Car {
  const settings = smallSettings((s) => {
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

/** Ticks until it locks; undefined when it does not within `most`. */
function ticksToLock(car: Car, most: number): number | undefined {
  for (let i = 1; i <= most; i++) {
    car.tick();
    if (modeOf(car) === "locked") return i;
  }
  return undefined;
}

function expectLock(car: Car, channel: number, kind: number): void {
  const took = ticksToLock(car, (LASTING_TURNS + 1) * TURN_TICKS);
  expect(took).toBeGreaterThan((LASTING_TURNS - 1) * TURN_TICKS);
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

  test("three turns are not enough, nor three and three with a good one between", () => {
    const car = restingCar();
    for (let n = 0; n < 4; n++) {
      car.wiring.stuckDrainsMv.set(2, 0);
      ticks(car, (LASTING_TURNS - 1) * TURN_TICKS);
      car.wiring.stuckDrainsMv.clear();
      ticks(car, TURN_TICKS);
    }
    expect(modeOf(car)).toBe("armed");
    car.wiring.stuckDrainsMv.set(2, 0);
    expectLock(car, 2, KINDS.shorted);
  });
});

describe("with its pin high", () => {
  test.each([0, 1])("driver %i must pull its drain below 4500 mV", (channel) => {
    const car = fullFlow();
    car.wiring.stuckDrainsMv.set(channel, 4500);
    expect(ticksToLock(car, 200)).toBeUndefined();
    car.wiring.stuckDrainsMv.set(channel, 4505);
    expectLock(car, channel, KINDS.stuck);
  });

  test("what was seen high is not forgotten in the lows between, nor counted with them", () => {
    const settings = smallSettings();
    const car = arm(standingCar(settings));
    expect(ticksToFlow(car, 200)).toBeGreaterThan(0);
    ticks(car, 300);
    car.wiring.stuckDrainsMv.set(0, 12_000);
    expect(ticksToLock(car, 200)).toBeGreaterThan((LASTING_TURNS - 1) * TURN_TICKS);
    expect(car.rig.live.get("tripValue")).toBe(256 + KINDS.stuck);
  });
});

describe("without a supply behind the relay", () => {
  test("a missing supply is told as such, not as eight drivers, at 1.2 V and in four turns", () => {
    const car = restingCar();
    const supply = (mv: number): void => {
      car.point.batteryMv = mv;
      for (const channel of CONFIGURED) car.wiring.stuckDrainsMv.set(channel, 0);
    };
    supply(1195);
    const took = ticksToLock(car, 40);
    expect(INTERLOCKS[car.trip]?.id).toBe("KEEP-ALIVE");
    expect(car.rig.live.get("tripValue")).toBe(1195);
    expect(took).toBeGreaterThan((LASTING_TURNS - 1) * TURN_TICKS);
    const other = restingCar();
    other.point.batteryMv = 1200;
    for (const channel of CONFIGURED) other.wiring.stuckDrainsMv.set(channel, channel === 0 ? 0 : 12_000);
    expectLock(other, 0, KINDS.shorted);
  });
});
