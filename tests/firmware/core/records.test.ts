// The run log's ring while a run goes on: when a record is written, that it says what was so, and what it says of a trip.
import { describe, expect, test } from "vitest";
import { LOG_EVERY_MS } from "#shared-schema/link/columns.ts";
import { INTERLOCKS, interlockNumber } from "#shared-schema/model/interlocks.ts";
import { heavyCar, heavySettings, launchHeavy, USUAL_PULSES } from "../../bench/heavy-car.ts";
import type { Car } from "../../oracle/car.ts";
import { lineOf, type SensorName } from "../../oracle/settings.ts";
import {
  arm,
  flowingCar,
  fullSettings,
  modeOf,
  OFF_TICKS,
  smallSettings,
  standingCar,
  ticks,
} from "../../oracle/stand.ts";
import { columnsOf, RecordRing } from "../../support/record-ring.ts";
import { full, NONE, put, withPart } from "./interlock-moves.ts";

const AFTER_MS = 500;

/** What a record must say of this tick, from the live block and the inputs. */
function expected(car: Car, runMs: number): Record<string, number> {
  const { live } = car.rig;
  const byte = (name: string, per: number, index = 0): number =>
    Math.min(255, Math.floor(live.get(name, index) / per));
  const shares = [0, 1, 2, 3].map((s) => [`share${s + 1}`, byte("sharePermille", 5, s)]);
  return {
    time: Math.floor(runMs / LOG_EVERY_MS),
    reasonsLow: car.reasons & 0xffff,
    reasonsHigh: car.reasons >>> 16,
    engineSpeed: live.get("engineRpm"),
    roadSpeed: live.get("roadDeciKmh"),
    manifold: live.get("manifoldDeciKpa"),
    bottle: byte("bottleKpaGauge", 50),
    fuel: byte("fuelDeciKpaGauge", 50),
    lambda: byte("milliLambda", 10),
    battery: byte("batteryMv", 100),
    throttle: byte("throttlePermille", 5),
    switches: car.raw.switches,
    mode: car.mode,
    trip: car.trip,
    ...Object.fromEntries(shares),
    outputs: car.outputFlags,
    retard: byte("retardDeciDeg", 2),
  };
}

describe("records", () => {
  const settings = fullSettings((s) => {
    delete s.engine.jump;
    delete s.stages[0]!.follows;
  });

  /** A run with a launch, a lift, a hold-off and a trip, by tick after arming began. */
  function eventful(car: Car, press: () => void): Record<number, () => void> {
    return {
      150: press,
      200: () => car.set("launch", true),
      220: () => car.set("launch", false),
      900: () => car.set("throttle", false),
      960: () => car.set("throttle", true),
      1400: () => {
        car.point.batteryMv = 10_300;
      },
      1450: () => {
        car.point.batteryMv = 13_000;
      },
      1700: () => car.set("purge", true),
      2000: () => put(car, settings, "bottle", 7500),
    };
  }

  test("are written every 10 ms and at every change of mode, and say what is so in their tick", () => {
    const car = standingCar(settings);
    put(car, settings, "manifold", 950);
    const press = car.lift();
    car.set("enrich", true);
    ticks(car, OFF_TICKS);
    car.set("arm", true);
    const ring = new RecordRing(car);
    const tick = (): Record<string, number> | undefined => {
      car.tick();
      expect(car.rig.live.get("flags"), "the status and the outputs").toBe(car.outputFlags);
      const record = ring.take();
      return record && columnsOf(record);
    };
    while (modeOf(car) === "off") tick();
    const moves = eventful(car, press);
    const modes = new Set<string>();
    let since = 0;
    let stopped = 0;
    for (let ms = 1; stopped < AFTER_MS; ms++) {
      moves[ms]?.();
      const before = car.mode;
      const record = tick();
      since++;
      if (record) expect(record).toEqual(expected(car, ms + 1));
      if (car.mode !== before) expect(record, "a change of mode").toBeDefined();
      expect(since).toBeLessThanOrEqual(LOG_EVERY_MS);
      if (record) since = 0;
      modes.add(modeOf(car));
      stopped = modeOf(car) === "tripped" ? stopped + 1 : 0;
    }
    expect([...modes].sort()).toEqual(["armed", "arming", "flowing", "tripped"]);
    for (let i = 0; i < 300; i++)
      if (i > 5) expect(tick(), "the run is over").toBeUndefined();
      else tick();
  });
});

test("of four stages that flow tell each one's share", () => {
  const car = heavyCar(heavySettings(USUAL_PULSES), () => {});
  const ring = new RecordRing(car);
  const tick = car.tick.bind(car);
  let last: Uint8Array | undefined;
  car.tick = (us) => {
    tick(us);
    last = ring.take() ?? last;
  };
  launchHeavy(car);
  const record = columnsOf(last!);
  for (let s = 0; s < 4; s++) {
    const share = car.rig.live.get("sharePermille", s) / 5;
    expect(share).toBeGreaterThan(10);
    expect(Math.abs(record[`share${s + 1}`]! - share), `stage ${s + 1}`).toBeLessThanOrEqual(2);
  }
});

describe("a trip", () => {
  test("is none when the controller has just been started", () => {
    const car = standingCar(smallSettings());
    car.tick();
    expect(car.trip).toBe(NONE);
    expect(car.rig.live.get("tripValue")).toBe(0);
  });

  const limits: [string, "manifold" | "bottle" | "fuel" | "lambda", number][] = [
    ["OVERBOOST", "manifold", full.manifold!.overboost!.aboveDeciKpa + 70],
    ["BOTTLE-HIGH", "bottle", full.bottle!.highestKpaGauge + 70],
    ["FUEL-LOW", "fuel", full.fuel!.lowestDeciKpaGauge - 170],
    ["LEAN", "lambda", full.lambda!.leanestMilliLambda + 70],
  ];

  test.each(limits)(
    "%s tells the value that tripped, and no later fault takes its place",
    (id, name, value) => {
      const settings = withPart(name, (s) => {
        if (s.manifold) s.manifold.overboost = structuredClone(full.manifold!.overboost!);
      });
      const car = flowingCar(settings);
      put(car, settings, name as SensorName, value);
      for (let i = 0; i < 300 && modeOf(car) !== "tripped"; i++) car.tick();
      const unit = (lineOf(settings, name)!.high - lineOf(settings, name)!.low) / 1000;
      expect(INTERLOCKS[car.trip]?.id).toBe(id);
      expect(Math.abs(car.rig.live.get("tripValue") - value)).toBeLessThanOrEqual(1 + unit);
      const first = car.rig.live.get("tripValue");
      car.adcFrozen = true;
      car.wiring.relay = "welded";
      ticks(car, 100);
      expect(INTERLOCKS[car.trip]?.id).toBe(id);
      expect(car.rig.live.get("tripValue")).toBe(first);
    },
  );

  test("is forgotten when the arm switch has been cycled, with its value", () => {
    const car = flowingCar(smallSettings());
    car.engineWireCut = true;
    ticks(car, 100);
    expect(car.trip).toBe(interlockNumber("RPM-LOST"));
    expect(car.rig.live.get("tripValue")).toBeGreaterThan(0);
    car.engineWireCut = false;
    arm(car);
    expect(car.trip).toBe(NONE);
    expect(car.rig.live.get("tripValue")).toBe(0);
  });
});
