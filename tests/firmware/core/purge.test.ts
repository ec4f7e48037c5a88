// The purge valve: when it may be open, for how long in a press and in a minute, and what shuts it.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import type { Car } from "../../oracle/car.ts";
import { arm, isFed, modeOf, standingCar, ticks } from "../../oracle/stand.ts";
import { runs } from "../../support/effort.ts";
import { full, put, withPart } from "./interlock-moves.ts";
import { isOn, LONG_US, TURNS, ticksOn } from "./output-moves.ts";

describe("the purge valve", () => {
  const purge = { longestMs: 400, eachMinuteMs: 1000 };
  const settings = withPart("bottle", (s) => {
    s.purge = purge;
    s.throttle.position = structuredClone(full.throttle.position!);
  });
  const valved = structuredClone(settings);
  valved.bottleValve = { opensWithinMs: 1000 };

  function lifted(of = settings): Car {
    const car = arm(standingCar(of));
    car.set("throttle", false);
    put(car, of, "throttle", 0);
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

  test("is shut in the very tick in which the controller is no longer armed, whatever its turn", () => {
    for (let turn = 0; turn < TURNS; turn++) {
      const car = lifted();
      car.set("purge", true);
      ticks(car, TURNS + turn);
      expect(isOn(car, "purge")).toBe(true);
      car.set("arm", false);
      while (modeOf(car) === "armed") car.tick();
      expect(isOn(car, "purge")).toBe(false);
    }
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

  test("opens beside an open bottle valve, and leaves that open", () => {
    const car = lifted(valved);
    car.set("bottleValve", true);
    ticks(car, TURNS);
    car.set("purge", true);
    ticks(car, TURNS);
    expect([isOn(car, "bottleValve"), isOn(car, "purge")]).toEqual([true, true]);
    expect(ticksOn(car, "bottleValve", 100)).toBe(100);
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

  test("a press that the throttle ended is over, and one before arming is none", () => {
    const car = standingCar(settings);
    put(car, settings, "throttle", 0);
    car.set("purge", true);
    ticks(car, 3 * purge.longestMs);
    put(car, settings, "throttle", 1000);
    arm(car);
    car.set("throttle", false);
    put(car, settings, "throttle", 0);
    expect(ticksOn(car, "purge", 100)).toBeGreaterThan(50);
    car.set("throttle", true);
    ticks(car, 2 * TURNS);
    car.set("throttle", false);
    ticks(car, 2 * TURNS);
    expect(ticksOn(car, "purge", 300)).toBe(0);
  });

  const press = fc.record({
    onTicks: fc.integer({ min: 1, max: 60 }),
    offTicks: fc.integer({ min: 1, max: 700 }),
  });

  test.prop([fc.array(press, { minLength: 10, maxLength: 40 })], runs(15))(
    "is open in no minute for longer than a minute allows, in no press longer than a press, and once in each",
    (presses) => {
      const car = lifted();
      // A turn is counted by the length of the one before: ticks of this length must have come already.
      ticks(car, 2 * TURNS, LONG_US);
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
    const spendsAll = (): void => {
      const on = spend();
      expect(on).toBeLessThanOrEqual(purge.eachMinuteMs);
      expect(on).toBeGreaterThanOrEqual(purge.eachMinuteMs - 3 * TURNS);
    };
    spendsAll();
    ticks(car, 55_000);
    expect(spend()).toBe(0);
    ticks(car, 4_000);
    spendsAll();
  });
});
