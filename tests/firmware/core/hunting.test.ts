// Hold-offs for battery, fuel pressure, bottle pressure and supply do not hunt: each lasts for a least time, and the third within seconds trips.
import { describe, expect, test } from "vitest";
import { interlockNumber } from "#shared-schema/model/interlocks.ts";
import type { Car } from "../../oracle/car.ts";
import { arm, flowingCar, isFed, modeOf, smallSettings, standingCar, ticks } from "../../oracle/stand.ts";
import { NONE, put, reason, withPart } from "./interlock-moves.ts";

const fuel = withPart("fuel");
const bottle = withPart("bottle");
const LEAST_OFF_TICKS = 250;
/** Less than a dip that the core has seen is over may be missing of the least time. */
const SLACK_TICKS = 8;
/** The difference of the supply counts from here on. */
const APART_MV = 2000;
const HIGHEST_MV = 16_500;

interface Dipping {
  readonly row: string;
  readonly car: () => Car;
  /** Puts the value so far off its limit, to the good side: mV, 0.1 kPa, or kPa of the bottle. */
  readonly set: (car: Car, off: number) => void;
  readonly enough: number;
  /** Ticks that begin a hold-off, and are too few to trip by themselves. */
  readonly dip: number;
  /** Off the limit, and not yet enough. */
  readonly between?: number;
}

const CASES: Readonly<Record<string, Dipping>> = {
  "battery low": {
    row: "BATT-LOW",
    dip: 4,
    between: 270,
    car: () => flowingCar(smallSettings()),
    set: (car, off) => {
      car.point.batteryMv = smallSettings().battery.lowestMv + off;
    },
    enough: 310,
  },
  "fuel low": {
    row: "FUEL-LOW",
    dip: 4,
    between: Math.ceil(fuel.fuel!.lowestDeciKpaGauge / 16) - 30,
    car: () => flowingCar(fuel),
    set: (car, off) => put(car, fuel, "fuel", fuel.fuel!.lowestDeciKpaGauge + off),
    enough: Math.ceil(fuel.fuel!.lowestDeciKpaGauge / 16) + 10,
  },
  "bottle low": {
    row: "BOTTLE-LOW",
    dip: 4,
    between: bottle.bottle!.hysteresisKpaGauge - 10,
    car: () => flowingCar(bottle),
    set: (car, off) => put(car, bottle, "bottle", bottle.bottle!.lowestKpaGauge + off),
    enough: bottle.bottle!.hysteresisKpaGauge + 10,
  },
  "supply off the battery": {
    row: "SUPPLY",
    dip: 58,
    car: () => flowingCar(smallSettings()),
    set: (car, off) => {
      car.wiring.dropMv = APART_MV - off;
    },
    enough: APART_MV,
  },
  "battery too high": {
    row: "SUPPLY",
    dip: 4,
    between: 470,
    car: () => flowingCar(smallSettings()),
    set: (car, off) => {
      car.point.batteryMv = HIGHEST_MV - off;
    },
    enough: 510,
  },
};

function dip(car: Car, { set, enough, dip: long }: Dipping): void {
  set(car, -40);
  ticks(car, long);
  set(car, enough);
}

/** Times that flow began anew in so many ticks. */
function bursts(car: Car, count: number, each: (tick: number) => void): number {
  let before = isFed(car);
  let begun = 0;
  for (let i = 0; i < count; i++) {
    each(i);
    car.tick();
    if (isFed(car) && !before) begun++;
    before = isFed(car);
  }
  return begun;
}

describe.each(Object.entries(CASES))("%s", (_name, dipping) => {
  test("holds off for a least time, whatever comes after the dip", () => {
    const car = dipping.car();
    ticks(car, 50);
    dip(car, dipping);
    for (let i = 0; i < LEAST_OFF_TICKS - SLACK_TICKS; i++) {
      expect(isFed(car)).toBe(false);
      car.tick();
    }
    ticks(car, 60);
    expect(isFed(car)).toBe(true);
  });

  test.each(dipping.between === undefined ? [] : [dipping.between])(
    "ends only past its hysteresis",
    (between) => {
      const car = dipping.car();
      dip(car, dipping);
      dipping.set(car, between);
      ticks(car, 1000);
      expect(reason(car, dipping.row)).toBe(true);
      dipping.set(car, dipping.enough);
      ticks(car, 60);
      expect(isFed(car)).toBe(true);
    },
  );

  test("a value that sags with the flow and comes back without it trips at the third time", () => {
    const car = dipping.car();
    const many = bursts(car, 1500, () => dipping.set(car, isFed(car) ? -40 : dipping.enough));
    expect(many).toBeLessThanOrEqual(2);
    expect(car.trip).toBe(interlockNumber(dipping.row));
    expect(modeOf(car)).toBe("tripped");
    dipping.set(car, dipping.enough);
    arm(car);
    dip(car, dipping);
    expect(car.trip, "what was counted has ended").toBe(NONE);
  });

  test("dips that stop no flow never trip, however often", () => {
    const car = dipping.car();
    car.lift();
    ticks(car, 50);
    expect(isFed(car)).toBe(false);
    for (let n = 0; n < 6; n++) {
      dip(car, dipping);
      expect(reason(car, dipping.row), `dip ${n + 1}`).toBe(true);
      ticks(car, 400);
      expect(reason(car, dipping.row)).toBe(false);
    }
    expect(car.trip).toBe(NONE);
  });

  test("dips after a run, as a starter motor makes them, count for nothing in the next", () => {
    const car = dipping.car();
    ticks(car, 50);
    expect(isFed(car)).toBe(true);
    car.set("arm", false);
    ticks(car, 20);
    expect(modeOf(car)).toBe("off");
    for (let n = 0; n < 4; n++) {
      dip(car, dipping);
      ticks(car, 300);
    }
    arm(car);
    ticks(car, 200);
    expect(car.trip).toBe(NONE);
    expect(isFed(car)).toBe(true);
  });

  test("a dip in ten seconds is held off each time, and never trips", () => {
    const car = dipping.car();
    for (let n = 0; n < 4; n++) {
      dip(car, dipping);
      ticks(car, 400);
      car.lift();
      ticks(car, 2500, 4000);
      car.set("throttle", true);
      ticks(car, 30);
      expect(isFed(car), `after dip ${n + 1}`).toBe(true);
    }
    expect(car.trip).toBe(NONE);
  });
});

test("a supply that is off the battery now and again adds up; what it has been well for counts half against that", () => {
  const BAD_TICKS = 20;
  const held = (wellTicks: number): boolean => {
    const car = flowingCar(smallSettings());
    let stopped = false;
    for (let n = 0; n < 15; n++) {
      car.wiring.dropMv = APART_MV + 40;
      ticks(car, BAD_TICKS);
      car.wiring.dropMv = 0;
      ticks(car, wellTicks);
      stopped ||= reason(car, "SUPPLY");
    }
    return stopped;
  };
  expect(held(BAD_TICKS)).toBe(true);
  expect(held(3 * BAD_TICKS)).toBe(false);
});

test("a bottle must be its hysteresis above the lowest pressure before the first flow, too", () => {
  const { lowestKpaGauge, hysteresisKpaGauge } = bottle.bottle!;
  const car = standingCar(bottle);
  put(car, bottle, "bottle", lowestKpaGauge + hysteresisKpaGauge - 10);
  arm(car);
  ticks(car, 1000);
  expect(reason(car, "BOTTLE-LOW")).toBe(true);
  expect(isFed(car)).toBe(false);
  put(car, bottle, "bottle", lowestKpaGauge + hysteresisKpaGauge + 10);
  ticks(car, 60);
  expect(isFed(car)).toBe(true);
});
