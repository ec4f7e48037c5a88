// The oracle notices a core that forgets how often battery, fuel pressure, bottle pressure or supply has stopped the flow, and accuses none that must not trip yet.
import { describe, expect, test } from "vitest";
import { interlockNumber } from "#shared-schema/model/interlocks.ts";
import { type Document, pack, toBytes } from "#shared-schema/settings/pack.ts";
import { CoreMap, type HeldOff } from "../../exploration/core-map.ts";
import type { Car } from "../../oracle/car.ts";
import { Oracle } from "../../oracle/oracle.ts";
import type { Settings } from "../../oracle/settings.ts";
import { arm, isFed, smallSettings, standingCar, ticks, ticksToFlow } from "../../oracle/stand.ts";
import { put, withPart } from "./interlock-moves.ts";

const FED_TICKS = 100;
/** Longer than a hold-off lasts at least, and the settling before flow may begin. */
const AGAIN_TICKS = 360;
/** Too short for what trips by itself when it lasts. */
const DIP_TICKS = 5;
const LATE_US = 4000;
/** Until the oracle is sure that the supply, which was off the battery before arming, holds nothing off. */
const SURE_TICKS = 1500;

type Set = (car: Car, off: number) => void;

interface Case {
  readonly row: string;
  readonly which: HeldOff;
  readonly settings: Settings;
  /** Puts the value so many steps off its limit. */
  readonly set: Set;
}

interface Judged {
  readonly car: Car;
  /** Clauses that were broken so far. */
  readonly broken: ReadonlySet<string>;
}

/** A car in flow whose every tick is judged; `forget` takes what it counts away from its core after each. */
function judged(settings: Settings, which: HeldOff, forget: boolean): Judged {
  const car = standingCar(settings);
  const oracle = new Oracle(settings, car.raw.nowUs);
  const broken = new Set<string>();
  const tick = car.tick.bind(car);
  car.tick = (us?: number): void => {
    tick(us);
    for (const clause of oracle.judge(car.raw, car.commanded)) broken.add(clause);
  };
  arm(car);
  if (ticksToFlow(car, FED_TICKS) === undefined) throw new Error("the car does not flow");
  ticks(car, SURE_TICKS);
  if (!forget) return { car, broken };
  const block = toBytes(pack(settings as unknown as Document));
  const map = new CoreMap(car.rig, block, car.raw.engine.count);
  const at = map.ofHold(which, "stopsUs");
  const judgedTick = car.tick;
  car.tick = (us?: number): void => {
    map.words[at] = 0;
    judgedTick(us);
  };
  return { car, broken };
}

const fuel = withPart("fuel");
const bottle = withPart("bottle");
const HIGHEST_MV = 16_500;
const CASES: readonly Case[] = [
  {
    ...{ row: "BATT-LOW", which: "battery", settings: smallSettings() },
    set: (car, off) => {
      car.point.batteryMv = smallSettings().battery.lowestMv + 10 * off;
    },
  },
  {
    ...{ row: "FUEL-LOW", which: "fuel", settings: fuel },
    set: (car, off) => put(car, fuel, "fuel", fuel.fuel!.lowestDeciKpaGauge + 4 * off),
  },
  {
    ...{ row: "BOTTLE-LOW", which: "bottle", settings: bottle },
    set: (car, off) => put(car, bottle, "bottle", bottle.bottle!.lowestKpaGauge + 2 * off),
  },
  {
    ...{ row: "SUPPLY", which: "supply", settings: smallSettings() },
    set: (car, off) => {
      car.point.batteryMv = HIGHEST_MV - 20 * off;
    },
  },
];

/** Dips so many times, each when flow has begun again; between them the throttle is lifted for so many late ticks. */
function dips({ car }: Judged, set: Set, times: number, lifted = 0): void {
  for (let n = 0; n < times; n++) {
    if (n > 0 && lifted > 0) {
      const press = car.lift();
      ticks(car, lifted, LATE_US);
      press();
      ticks(car, FED_TICKS);
    }
    expect(isFed(car)).toBe(true);
    set(car, -60);
    ticks(car, DIP_TICKS);
    set(car, 90);
    ticks(car, AGAIN_TICKS);
  }
}

describe.each(CASES)("$row", ({ row, which, settings, set }) => {
  test("a core that forgets is noticed at the third dip, not before", () => {
    const forgetful = judged(settings, which, true);
    dips(forgetful, set, 2);
    expect([...forgetful.broken]).toEqual([]);
    dips(forgetful, set, 1);
    expect([...forgetful.broken]).toContain(`trip ${row}`);
  });

  test("the core as it is trips there, and is accused of nothing", () => {
    const sound = judged(settings, which, false);
    dips(sound, set, 3);
    expect(sound.car.trip).toBe(interlockNumber(row));
    expect([...sound.broken]).toEqual([]);
  });

  test("three dips in more than ten seconds need not trip", () => {
    const forgetful = judged(settings, which, true);
    dips(forgetful, set, 3, 1200);
    expect([...forgetful.broken]).toEqual([]);
  });
});
