// What is told to the outside: the lamp's pattern in every mode, the stage-active output, the throttle without a sensor.
import { describe, expect, test } from "vitest";
import { MODES } from "#shared-schema/model/interlocks.ts";
import { Car } from "../../oracle/car.ts";
import type { Settings } from "../../oracle/settings.ts";
import {
  arm,
  flowingCar,
  GOOD_POINT,
  isFed,
  modeOf,
  smallSettings,
  standingCar,
  TURN_TICKS,
  ticks,
} from "../../oracle/stand.ts";
import { freshCore } from "../../support/core.ts";
import { STATES } from "../../support/machine-states.ts";
import { PROVING } from "../../support/proving.ts";
import { isOn } from "./output-moves.ts";

/** How long the lamp is on and off by turns, in ms rounded to 50, over three cycles; the first and the last are cut off. */
function rhythm(car: Car): number[] {
  const lengths: number[] = [];
  let before = isOn(car, "lamp");
  let length = 0;
  for (let i = 0; i < 6300; i++) {
    car.tick();
    length++;
    if (isOn(car, "lamp") === before) continue;
    lengths.push(50 * Math.round(length / 50));
    before = !before;
    length = 0;
  }
  return lengths.slice(1);
}

/** Blinks in a cycle of two seconds, each of 100 ms. */
function blinks(count: number): number[] {
  const rest = 2000 - 200 * count + 100;
  return [...new Array(2 * count - 2).fill(100), 100, rest];
}

describe("the status lamp", () => {
  const settings = PROVING as unknown as Settings;
  const reached = (name: string): Car => STATES.find((state) => state.name === name)!.reach(settings);
  const blinking: [string, number, () => Car][] = [
    ["off", 1, () => reached("off, ready to arm")],
    ["tripped", 3, () => reached("tripped")],
    ["service", 4, () => reached("service")],
    ["locked", 5, () => reached("locked")],
    [
      "off without settings",
      2,
      () => {
        const rig = freshCore();
        rig.start();
        return new Car(rig, smallSettings(), GOOD_POINT, 1_000_000);
      },
    ],
  ];

  test.each(blinking)("%s: %i short blinks every two seconds", (name, count, get) => {
    const car = get();
    car.tick();
    expect(name.startsWith(modeOf(car))).toBe(true);
    const lengths = rhythm(car);
    const from = lengths.indexOf(Math.max(...lengths)) + 1;
    expect(lengths.slice(from, from + 2 * count)).toEqual(blinks(count));
  });

  test("arming, armed: steady; flowing: flickers at 10 Hz", () => {
    const car = standingCar(smallSettings());
    ticks(car, 201);
    car.set("arm", true);
    const seen = new Set<string>();
    while (modeOf(car) === "off") car.tick();
    ticks(car, TURN_TICKS);
    for (let i = 0; i < 2500; i++) {
      car.tick();
      seen.add(`${modeOf(car)} ${isOn(car, "lamp")}`);
    }
    expect([...seen].sort()).toEqual(["armed true", "arming true"]);
    const flowing = rhythm(flowingCar(smallSettings()));
    expect(new Set(flowing)).toEqual(new Set([50]));
    expect(flowing.length).toBeGreaterThan(70);
  });

  test("armed: two short gaps every two seconds until the throttle was seen closed", () => {
    const car = standingCar(smallSettings());
    car.lift()();
    ticks(car, 201);
    car.set("arm", true);
    for (let i = 0; i < 1000 && modeOf(car) !== "armed"; i++) car.tick();
    ticks(car, TURN_TICKS);
    const lengths = rhythm(car);
    const from = lengths.indexOf(Math.max(...lengths)) + 1;
    expect(lengths.slice(from, from + 4)).toEqual(blinks(2));
    expect(modeOf(car)).toBe("armed");
    car.lift();
    ticks(car, 50 + 2 * TURN_TICKS);
    const on = Array.from({ length: 2000 }, () => {
      car.tick();
      return isOn(car, "lamp");
    });
    expect(on).not.toContain(false);
  });

  test("every mode is among these", () => {
    const tested = [...blinking.map(([name]) => name.split(" ")[0]!), "arming", "armed", "flowing"];
    expect(new Set(tested)).toEqual(new Set(MODES));
  });
});

describe("the stage-active output", () => {
  test("is on in those ticks in which a nitrous solenoid is driven, and in no other", () => {
    const car = arm(standingCar(smallSettings()));
    const moves: Record<number, () => void> = {
      200: () => car.set("throttle", false),
      260: () => car.set("throttle", true),
      400: () => car.set("arm", false),
      402: () => car.set("arm", true),
      500: () => car.stuckCodes.set(5, 0),
    };
    let fed = 0;
    for (let i = 0; i < 600; i++) {
      moves[i]?.();
      car.tick();
      expect(isOn(car, "stageActive")).toBe(isFed(car));
      if (isFed(car)) fed++;
    }
    expect(fed).toBeGreaterThan(200);
    expect(isFed(car)).toBe(false);
  });
});

test("without a position sensor the throttle that is told is the switch's", () => {
  const car = standingCar(smallSettings());
  for (const closed of [true, false, true]) {
    car.set("throttle", closed);
    ticks(car, TURN_TICKS);
    expect(car.rig.live.get("throttlePermille")).toBe(closed ? 1000 : 0);
  }
});
