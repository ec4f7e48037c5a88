// What stands around the bottle: when purge, heater and bottle valve are on, for how long, and what switches each off.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { OUTPUT_BITS } from "#shared-schema/blocks.ts";
import type { Car } from "../../oracle/car.ts";
import { Device } from "../../oracle/device.ts";
import type { Settings } from "../../oracle/settings.ts";
import {
  arm,
  isFed,
  modeOf,
  OFF_TICKS,
  standingCar,
  TURN_TICKS,
  ticks,
  ticksToFlow,
} from "../../oracle/stand.ts";
import { full, put, withPart } from "./interlock-moves.ts";

/** Outputs are worked out once in four ticks. */
const TURNS = TURN_TICKS;
/** The longest tick whose time the core trusts. */
const LONG_US = 20_000;

const isOn = (car: Car, name: keyof typeof OUTPUT_BITS): boolean =>
  ((car.outputFlags >>> OUTPUT_BITS[name]) & 1) === 1;

/** Ticks for which an output is on in the next so many. */
function ticksOn(car: Car, name: keyof typeof OUTPUT_BITS, count: number, us = 1000): number {
  let on = 0;
  for (let i = 0; i < count; i++) {
    car.tick(us);
    if (isOn(car, name)) on++;
  }
  return on;
}

describe("the purge valve", () => {
  const purge = { longestMs: 400, eachMinuteMs: 1000 };
  const settings = withPart("bottle", (s) => {
    s.purge = purge;
    s.throttle.position = structuredClone(full.throttle.position!);
  });

  function lifted(): Car {
    const car = arm(standingCar(settings));
    car.set("throttle", false);
    put(car, settings, "throttle", 0);
    ticks(car, 100);
    return car;
  }

  test("opens with its button within a turn, and shuts with it within a turn", () => {
    const car = lifted();
    expect(isOn(car, "purge")).toBe(false);
    car.set("purge", true);
    ticks(car, TURNS);
    expect(isOn(car, "purge")).toBe(true);
    car.set("purge", false);
    ticks(car, TURNS);
    expect(isOn(car, "purge")).toBe(false);
  });

  const against: [string, (car: Car) => void][] = [
    ["the throttle switch closed", (car) => car.set("throttle", true)],
    ["the throttle opened by its sensor", (car) => put(car, settings, "throttle", 220)],
    ["the arm switch off", (car) => car.set("arm", false)],
    ["a trip", (car) => put(car, settings, "bottle", settings.bottle!.highestKpaGauge + 50)],
  ];

  test.each(against)("is shut by %s, and does not open", (_, stop) => {
    const car = lifted();
    car.set("purge", true);
    ticks(car, TURNS);
    expect(isOn(car, "purge")).toBe(true);
    stop(car);
    ticks(car, 5 + TURNS);
    expect(ticksOn(car, "purge", 300)).toBe(0);
    const again = lifted();
    stop(again);
    ticks(again, 5 + TURNS);
    again.set("purge", true);
    expect(ticksOn(again, "purge", 300)).toBe(0);
  });

  test("is never open while a stage flows", () => {
    const car = lifted();
    car.set("purge", true);
    ticks(car, TURNS);
    car.set("throttle", true);
    put(car, settings, "throttle", 1000);
    let both = 0;
    for (let i = 0; i < 200; i++) {
      car.tick();
      if (isFed(car) && isOn(car, "purge")) both++;
    }
    expect(isFed(car)).toBe(true);
    expect(both).toBe(0);
  });

  test("shuts after its longest time, and stays shut until the button is let go", () => {
    const car = lifted();
    car.set("purge", true);
    const on = ticksOn(car, "purge", 3000);
    expect(Math.abs(on - purge.longestMs)).toBeLessThanOrEqual(TURNS);
    car.set("purge", false);
    ticks(car, TURNS);
    car.set("purge", true);
    expect(ticksOn(car, "purge", TURNS + 1)).toBeGreaterThan(0);
  });

  const press = fc.record({
    onTicks: fc.integer({ min: 1, max: 60 }),
    offTicks: fc.integer({ min: 1, max: 700 }),
  });

  test.prop([fc.array(press, { minLength: 10, maxLength: 40 })], { numRuns: 15 })(
    "is open in no minute for longer than a minute allows, in no press longer than a press, and once in each",
    (presses) => {
      const car = lifted();
      const open: boolean[] = [];
      for (const { onTicks, offTicks } of presses) {
        car.set("purge", true);
        const from = open.length;
        for (let i = 0; i < onTicks + offTicks; i++) {
          if (i === onTicks) car.set("purge", false);
          car.tick(LONG_US);
          open.push(isOn(car, "purge"));
        }
        const mine = open.slice(from);
        expect(mine.filter(Boolean).length * LONG_US).toBeLessThanOrEqual(
          purge.longestMs * 1000 + TURNS * LONG_US,
        );
        expect(mine.filter((is, i) => is && !mine[i - 1]).length, "it does not flutter").toBeLessThan(2);
      }
      const minute = 60e6 / LONG_US;
      for (let from = 0, sum = 0; from < open.length; from++) {
        sum += (open[from] ? 1 : 0) - (open[from - minute] ? 1 : 0);
        expect(sum * LONG_US).toBeLessThanOrEqual(purge.eachMinuteMs * 1000 + TURNS * LONG_US);
      }
    },
  );

  test("has its whole time again after a minute without it", () => {
    const car = lifted();
    const spend = (): number => {
      let on = 0;
      for (let i = 0; i < 4; i++) {
        car.set("purge", true);
        on += ticksOn(car, "purge", 500);
        car.set("purge", false);
        ticks(car, 2 * TURNS);
      }
      return on;
    };
    expect(Math.abs(spend() - purge.eachMinuteMs)).toBeLessThanOrEqual(3 * TURNS);
    ticks(car, 55_000);
    expect(spend()).toBe(0);
    ticks(car, 61_000);
    expect(Math.abs(spend() - purge.eachMinuteMs)).toBeLessThanOrEqual(3 * TURNS);
  });
});

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
    car.set("throttle", true);
    car.set("arm", true);
    while (modeOf(car) !== "armed") {
      expect(isOn(car, "bottleValve"), modeOf(car)).toBe(false);
      car.tick();
    }
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
