// The bottle's heater and valve: when they are on, for how long, and what switches each off.
import { describe, expect, test } from "vitest";
import type { Car } from "../../oracle/car.ts";
import { Device } from "../../oracle/device.ts";
import type { Settings } from "../../oracle/settings.ts";
import {
  arm,
  modeOf,
  OFF_TICKS,
  smallSettings,
  standingCar,
  ticks,
  ticksToFlow,
} from "../../oracle/stand.ts";
import { put, withPart } from "./interlock-moves.ts";
import { isOn, LONG_US, TURNS, ticksOn } from "./output-moves.ts";

describe("the bottle heater", () => {
  const heater = { onBelowKpaGauge: 6300, offAtKpaGauge: 6600, longestS: 10 };
  const settings = withPart("bottle", (s) => {
    s.heater = heater;
  });
  const pressed = (car: Car, kpa: number, of: Settings = settings): void => put(car, of, "bottle", kpa);

  function heating(of: Settings = settings): Car {
    const car = standingCar(of);
    pressed(car, 6290, of);
    car.set("heater", true);
    ticks(car, 2 * TURNS);
    return car;
  }

  test("is a thermostat with hysteresis, in off and armed, while its switch is on", () => {
    const car = standingCar(settings);
    pressed(car, 6250);
    expect(ticksOn(car, "heater", 100)).toBe(0);
    car.set("heater", true);
    for (const get of [() => car, () => arm(car)]) {
      get();
      car.set("throttle", false);
      pressed(car, 6250);
      ticks(car, 2 * TURNS);
      expect(isOn(car, "heater")).toBe(true);
      pressed(car, 6450);
      expect(ticksOn(car, "heater", 100), "between: goes on").toBe(100);
      pressed(car, 6610);
      ticks(car, 2 * TURNS);
      expect(ticksOn(car, "heater", 100)).toBe(0);
      pressed(car, 6450);
      expect(ticksOn(car, "heater", 100), "between: stays off").toBe(0);
    }
    pressed(car, 6250);
    ticks(car, 2 * TURNS);
    car.set("heater", false);
    ticks(car, TURNS);
    expect(ticksOn(car, "heater", 100)).toBe(0);
  });

  test("is off where its sensor sees no bottle: with that shut by hand, nothing would end it", () => {
    const car = heating();
    for (const [kpa, on] of [
      [1010, true],
      [996, false],
      [1000, true],
      [990, false],
      [0, false],
      [1010, true],
    ] as const) {
      pressed(car, kpa);
      ticks(car, 2 * TURNS);
      expect(ticksOn(car, "heater", 100), `${kpa} kPa`).toBe(on ? 100 : 0);
    }
  });

  test("goes on below its lower pressure and off at its upper one, by the value that is told", () => {
    const told = (kpa: number): number => {
      const car = standingCar(settings);
      pressed(car, kpa);
      ticks(car, 2 * TURNS);
      return car.rig.live.get("bottleKpaGauge");
    };
    const [lower, upper] = [told(6300), told(6600)];
    for (const [on, off] of [
      [0, 0],
      [1, 1],
    ] as const) {
      const edge = withPart("bottle", (s) => {
        s.heater = { ...heater, onBelowKpaGauge: lower + on, offAtKpaGauge: upper + off };
      });
      const car = standingCar(edge);
      car.set("heater", true);
      pressed(car, 6300, edge);
      ticks(car, 2 * TURNS);
      expect(isOn(car, "heater"), "at the lower").toBe(on === 1);
      pressed(car, 6000, edge);
      ticks(car, 2 * TURNS);
      pressed(car, 6600, edge);
      ticks(car, 2 * TURNS);
      expect(isOn(car, "heater"), "at the upper").toBe(off === 1);
    }
  });

  test("is off in the very tick in which flow begins or a trip comes, whatever its turn", () => {
    const ends: [string, (car: Car) => void][] = [
      ["flowing", (car) => car.set("throttle", true)],
      ["tripped", (car) => pressed(car, settings.bottle!.highestKpaGauge + 50)],
    ];
    for (const [mode, end] of ends)
      for (let turn = 0; turn < TURNS; turn++) {
        const car = heating();
        arm(car);
        car.set("throttle", false);
        ticks(car, 100 + turn);
        expect(isOn(car, "heater")).toBe(true);
        end(car);
        for (let i = 0; i < 300 && modeOf(car) === "armed"; i++) car.tick();
        expect(modeOf(car)).toBe(mode);
        expect(isOn(car, "heater"), `${mode}, turn ${turn}`).toBe(false);
      }
  });

  test("its switch begins the hysteresis anew", () => {
    const car = heating();
    pressed(car, 6450);
    expect(ticksOn(car, "heater", 100)).toBe(100);
    car.set("heater", false);
    ticks(car, 2 * TURNS);
    car.set("heater", true);
    expect(ticksOn(car, "heater", 100)).toBe(0);
  });

  test("counts its longest time only while it is on", () => {
    const car = heating();
    pressed(car, 6700);
    ticks(car, TURNS + (1.5 * heater.longestS * 1e6) / LONG_US, LONG_US);
    expect(isOn(car, "heater")).toBe(false);
    pressed(car, 6250);
    ticks(car, 2 * TURNS);
    expect(isOn(car, "heater")).toBe(true);
  });

  test("counts none of its time in service, where it may not be on", () => {
    const car = heating();
    const device = new Device(car.rig);
    device.ask("service", { on: 1 });
    ticks(car, (2 * heater.longestS * 1e6) / LONG_US, LONG_US);
    expect(modeOf(car)).toBe("service");
    device.ask("service", { on: 0 });
    ticks(car, 2 * TURNS);
    expect(isOn(car, "heater")).toBe(true);
  });

  const against: [string, number, (car: Car) => void][] = [
    ["a sensor that is not believed", 1 + TURNS, (car) => car.stuckCodes.set(2, 0)],
    [
      "converters that stop",
      5,
      (car) => {
        car.adcFrozen = true;
      },
    ],
    [
      "a low battery",
      2 * TURNS,
      (car) => {
        car.point.batteryMv = 10_300;
      },
    ],
  ];

  test.each(against)("is switched off by %s", (_, within, stop) => {
    const car = heating();
    expect(isOn(car, "heater")).toBe(true);
    stop(car);
    ticks(car, within);
    expect(ticksOn(car, "heater", 200)).toBe(0);
  });

  test("is off while a stage flows, in a trip, in a lockout and in service", () => {
    const car = heating();
    arm(car);
    expect(ticksToFlow(car, 100)).toBeGreaterThan(0);
    expect(ticksOn(car, "heater", 100)).toBe(0);
    car.adcFrozen = true;
    ticks(car, 20);
    car.adcFrozen = false;
    expect(modeOf(car)).toBe("tripped");
    expect(ticksOn(car, "heater", 100)).toBe(0);
    arm(car);
    car.wiring.relay = "dead";
    ticks(car, 100);
    expect(modeOf(car)).toBe("locked");
    expect(ticksOn(car, "heater", 100)).toBe(0);
    const idle = heating();
    new Device(idle.rig).ask("service", { on: 1 });
    ticks(idle, 1);
    expect(ticksOn(idle, "heater", 100)).toBe(0);
  });

  test("is off after its longest time until its switch has been off", () => {
    const car = heating();
    const most = heater.longestS * 1e6;
    const on = ticksOn(car, "heater", (3 * most) / LONG_US, LONG_US);
    expect(Math.abs(on * LONG_US - most)).toBeLessThanOrEqual(2 * TURNS * LONG_US);
    car.set("heater", false);
    ticks(car, TURNS);
    car.set("heater", true);
    ticks(car, 2 * TURNS);
    expect(isOn(car, "heater")).toBe(true);
  });

  test("heats only behind an open bottle valve, where there is one", () => {
    const valved = withPart("bottle", (s) => {
      s.heater = heater;
      s.bottleValve = { opensWithinMs: 1000 };
    });
    const car = heating(valved);
    expect(ticksOn(car, "heater", 100)).toBe(0);
    car.set("bottleValve", true);
    expect(ticksOn(car, "heater", 100), "its switch does not open it in off").toBe(0);
    car.set("bottleValve", false);
    arm(car);
    car.set("throttle", false);
    expect(ticksOn(car, "heater", 100)).toBe(0);
    car.set("bottleValve", true);
    ticks(car, 2 * TURNS);
    expect(isOn(car, "heater")).toBe(true);
    car.set("bottleValve", false);
    ticks(car, TURNS);
    expect(ticksOn(car, "heater", 100)).toBe(0);
  });
});

describe("the bottle valve", () => {
  const settings = withPart("bottle", (s) => {
    s.bottleValve = { opensWithinMs: 1000 };
  });

  test("follows its switch while armed or flowing, and in no other mode", () => {
    const car = standingCar(settings);
    car.set("bottleValve", true);
    expect(ticksOn(car, "bottleValve", OFF_TICKS)).toBe(0);
    car.set("arm", true);
    while (modeOf(car) !== "armed") {
      expect(isOn(car, "bottleValve"), modeOf(car)).toBe(false);
      car.tick();
    }
    car.set("throttle", true);
    ticks(car, TURNS);
    expect(ticksOn(car, "bottleValve", 200)).toBe(200);
    expect(modeOf(car)).toBe("flowing");
    car.set("bottleValve", false);
    ticks(car, TURNS);
    expect(ticksOn(car, "bottleValve", 50)).toBe(0);
    car.set("bottleValve", true);
    ticks(car, TURNS);
    put(car, settings, "bottle", settings.bottle!.highestKpaGauge + 50);
    while (modeOf(car) !== "tripped") car.tick();
    expect(isOn(car, "bottleValve"), "shut in the tick of a trip").toBe(false);
    expect(ticksOn(car, "bottleValve", 100)).toBe(0);
    put(car, settings, "bottle", 6700);
    arm(car);
    ticks(car, TURNS);
    expect(isOn(car, "bottleValve")).toBe(true);
    car.set("arm", false);
    ticks(car, 6);
    expect(modeOf(car)).toBe("off");
    expect(isOn(car, "bottleValve")).toBe(false);
  });
});

test("what is not in the settings is never on, whatever its switch says", () => {
  const car = standingCar(smallSettings());
  const parts = ["heater", "purge", "bottleValve"] as const;
  for (const name of parts) car.set(name, true);
  const noneFor = (count: number): void => {
    for (let i = 0; i < count; i++) {
      car.tick();
      expect(
        parts.filter((name) => isOn(car, name)),
        modeOf(car),
      ).toEqual([]);
    }
  };
  noneFor(OFF_TICKS);
  arm(car);
  car.set("throttle", false);
  noneFor(50);
  car.set("throttle", true);
  noneFor(200);
  expect(modeOf(car)).toBe("flowing");
  car.adcFrozen = true;
  noneFor(50);
  expect(modeOf(car)).toBe("tripped");
});
