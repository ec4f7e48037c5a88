// Every mode and stage state that a fault may meet, each reached from the start by the moves of a driver.
import { flowPoint } from "#host/bench/prove/point.ts";
import { proofSettings } from "#host/bench/prove/settings.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import type { Car, Point } from "../oracle/car.ts";
import { Device } from "../oracle/device.ts";
import { lineOf, mvAt, type Settings } from "../oracle/settings.ts";
import { arm, OFF_TICKS, standingCar, ticks } from "../oracle/stand.ts";

/** A state by name; `may` tells whether flow may begin or go on from it without the arm switch being moved. */
export interface MachineState {
  readonly name: string;
  readonly may: boolean;
  readonly reach: (settings: Settings) => Car;
}

/** The place at which most flows, every sensor at a good value. */
function goodPoint(settings: Settings): Point {
  const { rpm, deciKmh, deciKpa } = flowPoint(proofSettings(settings as unknown as Document));
  const at = (name: "manifold" | "bottle" | "fuel" | "lambda", value: number): number => {
    const line = lineOf(settings, name);
    return line ? mvAt(line, value) : 2500;
  };
  const { bottle, fuel, lambda, coolant, throttle } = settings;
  return {
    rpm,
    deciKmh,
    throttleMv: throttle.position?.openMv ?? 2500,
    manifoldMv: at("manifold", deciKpa),
    bottleMv: at("bottle", bottle ? (bottle.lowestKpaGauge + bottle.highestKpaGauge) / 2 : 0),
    fuelMv: at("fuel", (fuel?.lowestDeciKpaGauge ?? 0) * 1.3),
    lambdaMv: at("lambda", (lambda?.leanestMilliLambda ?? 0) - 40),
    coolantMv: coolant ? (coolant.coldAboveMv + coolant.hotBelowMv) / 2 : 2500,
    batteryMv: 13_800,
  };
}

function standing(settings: Settings): Car {
  const car = standingCar(settings, goodPoint(settings));
  for (const name of ["throttle", "enrich", "bottleValve", "heater", "launch"] as const) car.set(name, true);
  return car;
}

function armed(settings: Settings, throttle = true): Car {
  const car = arm(standing(settings));
  car.set("launch", false);
  if (!throttle) {
    car.set("throttle", false);
    car.point.throttleMv = settings.throttle.position?.closedMv ?? 0;
  }
  return car;
}

function afterTicks(count: number): (settings: Settings) => Car {
  return (settings) => {
    const car = armed(settings);
    ticks(car, count);
    return car;
  };
}

function whileArming(count: number): (settings: Settings) => Car {
  return (settings) => {
    const car = standing(settings);
    car.set("arm", false);
    ticks(car, OFF_TICKS);
    car.set("arm", true);
    ticks(car, 6 + count);
    return car;
  };
}

function closedThrottle(purge: boolean): (settings: Settings) => Car {
  return (settings) => {
    const car = armed(settings, false);
    ticks(car, 60);
    car.set("purge", purge);
    ticks(car, 20);
    return car;
  };
}

function off(count: number): (settings: Settings) => Car {
  return (settings) => {
    const car = standing(settings);
    ticks(car, count);
    return car;
  };
}

/** A sensor that failed and is whole again. */
function tripped(settings: Settings): Car {
  const car = afterTicks(200)(settings);
  car.stuckCodes.set(0, 0);
  ticks(car, 20);
  car.stuckCodes.clear();
  ticks(car, 20);
  return car;
}

/** A driver that was stuck and is whole again. */
function locked(settings: Settings): Car {
  const car = afterTicks(200)(settings);
  car.wiring.stuckDrainsMv.set(0, car.point.batteryMv);
  ticks(car, 200);
  car.wiring.stuckDrainsMv.clear();
  ticks(car, 20);
  return car;
}

function service(settings: Settings): Car {
  const car = off(OFF_TICKS)(settings);
  new Device(car.rig).ask("service", { on: 1 });
  ticks(car, 5);
  return car;
}

function lifted(settings: Settings): Car {
  const car = afterTicks(300)(settings);
  car.set("throttle", false);
  ticks(car, 30);
  return car;
}

/** All of them. */
export const STATES: readonly MachineState[] = [
  { name: "off, just started", may: false, reach: off(20) },
  { name: "off, ready to arm", may: false, reach: off(OFF_TICKS + 10) },
  { name: "service", may: false, reach: service },
  ...[0, 4, 14, 22, 30, 36].map((n) => ({ name: `arming, tick ${n}`, may: true, reach: whileArming(n) })),
  { name: "armed, settling", may: true, reach: afterTicks(10) },
  { name: "armed, throttle closed", may: true, reach: closedThrottle(false) },
  { name: "armed, purging", may: true, reach: closedThrottle(true) },
  ...[96, 100, 105, 112, 125, 140, 160, 300].map((n) => ({
    name: `flowing, ${n} ticks after arming`,
    may: true,
    reach: afterTicks(n),
  })),
  { name: "armed, throttle lifted", may: true, reach: lifted },
  { name: "tripped", may: false, reach: tripped },
  { name: "locked", may: false, reach: locked },
];
