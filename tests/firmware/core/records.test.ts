// The run log's ring while a run goes on: when a record is written, that it says what was so, and what it says of a trip.
import { describe, expect, test } from "vitest";
import { LOG_COLUMNS, LOG_EVERY_MS, LOG_RECORD_BYTES } from "#shared-schema/link/columns.ts";
import { LOG_RING } from "#shared-schema/model/blocks.ts";
import { INTERLOCKS, interlockNumber } from "#shared-schema/model/interlocks.ts";
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
import { full, NONE, put, withPart } from "./interlock-moves.ts";

/** A record that was never written. */
const BLANK = 0xff;
const AFTER_MS = 500;

/** Reads the ring as it fills. */
class Ring {
  private readonly bytes: Uint8Array;
  private readonly car: Car;
  private next = 0;

  constructor(car: Car) {
    this.car = car;
    const { address, records } = LOG_RING;
    this.bytes = new Uint8Array(car.rig.core.memory.buffer, address, records * LOG_RECORD_BYTES);
    this.bytes.fill(BLANK);
  }

  /** One tick; the record that it has written, by column. */
  tick(): Record<string, number> | undefined {
    this.car.tick();
    const from = (this.next % LOG_RING.records) * LOG_RECORD_BYTES;
    const record = this.bytes.slice(from, from + LOG_RECORD_BYTES);
    if (record.every((byte) => byte === BLANK)) return undefined;
    this.next++;
    this.bytes.fill(BLANK, from, from + LOG_RECORD_BYTES);
    return columns(record);
  }
}

function columns(record: Uint8Array): Record<string, number> {
  let at = 0;
  return Object.fromEntries(
    LOG_COLUMNS.map(({ name, type }) => {
      const value = record[at++]! + (type === "u16" ? 256 * record[at++]! : 0);
      return [name, value];
    }),
  );
}

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
    const ring = new Ring(car);
    while (modeOf(car) === "off") ring.tick();
    const moves = eventful(car, press);
    const modes = new Set<string>();
    let since = 0;
    let stopped = 0;
    for (let ms = 1; stopped < AFTER_MS; ms++) {
      moves[ms]?.();
      const before = car.mode;
      const record = ring.tick();
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
      if (i > 5) expect(ring.tick(), "the run is over").toBeUndefined();
      else ring.tick();
  });
});

describe("a trip", () => {
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
