// Hold-offs for battery and fuel pressure do not hunt: each lasts for a least time, and the third within seconds trips.
import { describe, expect, test } from "vitest";
import { interlockNumber } from "#shared-schema/model/interlocks.ts";
import type { Car } from "../../oracle/car.ts";
import { arm, flowingCar, isFed, modeOf, smallSettings, ticks } from "../../oracle/stand.ts";
import { NONE, put, reason, withPart } from "./interlock-moves.ts";

const fuel = withPart("fuel");
const LEAST_OFF_TICKS = 250;
/** One turn of four ticks: too short for FUEL-LOW to trip by itself. */
const DIP_TICKS = 4;

interface Dipping {
  readonly car: () => Car;
  readonly set: (car: Car, off: number) => void;
  readonly enough: number;
}

/** `set` puts the value so far off its limit: mV, or 0.1 kPa. */
const CASES: Readonly<Record<string, Dipping>> = {
  "BATT-LOW": {
    car: () => flowingCar(smallSettings()),
    set: (car, off) => {
      car.point.batteryMv = smallSettings().battery.lowestMv + off;
    },
    enough: 310,
  },
  "FUEL-LOW": {
    car: () => flowingCar(fuel),
    set: (car, off) => put(car, fuel, "fuel", fuel.fuel!.lowestDeciKpaGauge + off),
    enough: Math.ceil(fuel.fuel!.lowestDeciKpaGauge / 16) + 10,
  },
};

function dip(car: Car, { set, enough }: Dipping): void {
  set(car, -40);
  ticks(car, DIP_TICKS);
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

describe.each(Object.entries(CASES))("%s", (id, dipping) => {
  test("holds off for a least time, whatever comes after the dip", () => {
    const car = dipping.car();
    ticks(car, 50);
    dip(car, dipping);
    for (let i = 0; i < LEAST_OFF_TICKS - 2 * DIP_TICKS; i++) {
      expect(isFed(car)).toBe(false);
      car.tick();
    }
    ticks(car, 60);
    expect(isFed(car)).toBe(true);
  });

  test("ends only past its hysteresis", () => {
    const car = dipping.car();
    dip(car, dipping);
    dipping.set(car, dipping.enough - 40);
    ticks(car, 1000);
    expect(reason(car, id)).toBe(true);
    dipping.set(car, dipping.enough);
    ticks(car, 60);
    expect(isFed(car)).toBe(true);
  });

  test("a value that sags with the flow and comes back without it trips at the third time", () => {
    const car = dipping.car();
    const many = bursts(car, 1500, () => dipping.set(car, isFed(car) ? -40 : dipping.enough));
    expect(many).toBeLessThanOrEqual(2);
    expect(car.trip).toBe(interlockNumber(id));
    expect(modeOf(car)).toBe("tripped");
    dipping.set(car, dipping.enough);
    arm(car);
    dip(car, dipping);
    expect(car.trip, "what was counted has ended").toBe(NONE);
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
