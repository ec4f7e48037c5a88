// The modes to the tick: how long the arm switch must be seen, what is named as holding off, and what a new run forgets.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { interlockNumber, interlocksIn } from "#shared-schema/model/interlocks.ts";
import { ADC_A } from "#shared-schema/model/pins.ts";
import type { Car } from "../../oracle/car.ts";
import { lineOf, mvAt } from "../../oracle/settings.ts";
import {
  arm,
  flowingCar,
  fullSettings,
  modeOf,
  smallSettings,
  standingCar,
  TURN_TICKS,
  ticks,
  ticksToFlow,
} from "../../oracle/stand.ts";
import { freshCore } from "../../support/core.ts";
import { runs } from "../../support/effort.ts";
import { NONE, put, withPart } from "./interlock-moves.ts";
import { withPosition } from "./interlocks-hold.ts";

const SEEN_OFF_TICKS = 200;
const NOISE_TICKS = 5;
const SETTLE_TICKS = 50;
const MANIFOLD = ADC_A.indexOf("manifold");

/** Ids of what the core names. */
const named = (car: Car): string[] =>
  interlocksIn(car.reasons)
    .map(({ id }) => id)
    .sort();

describe("the arm switch", () => {
  test.each([
    [SEEN_OFF_TICKS - 1, "off"],
    [SEEN_OFF_TICKS, "arming"],
  ] as const)("seen off for %i ms after a start with it on leads to %s", (offTicks, mode) => {
    const car = standingCar(smallSettings());
    car.set("arm", true);
    ticks(car, 50);
    car.set("arm", false);
    ticks(car, offTicks);
    car.set("arm", true);
    ticks(car, 8);
    expect(modeOf(car)).toBe(mode);
  });

  test.each([
    [NOISE_TICKS - 1, "armed"],
    [NOISE_TICKS, "off"],
  ] as const)("off for %i ms while armed leads to %s", (offTicks, mode) => {
    const car = arm(standingCar(smallSettings()));
    car.set("arm", false);
    ticks(car, offTicks);
    expect(modeOf(car)).toBe(mode);
  });

  test("noise is counted each time", () => {
    const car = arm(standingCar(smallSettings()));
    for (let n = 1; n <= 3; n++) {
      car.set("arm", false);
      ticks(car, 2);
      car.set("arm", true);
      ticks(car, 50);
      expect(car.rig.live.get("noiseCuts")).toBe(n);
    }
  });
});

describe("what holds off", () => {
  test("a new start holds off by the arm switch while it is off, as a start while it is on", () => {
    const car = standingCar(smallSettings());
    car.set("throttle", true);
    ticks(car, TURN_TICKS);
    expect(named(car)).toEqual(["ARM"]);
    car.set("arm", true);
    ticks(car, TURN_TICKS);
    expect(named(car)).toEqual(["ARM-BOOT"]);
    car.set("arm", false);
    ticks(car, SEEN_OFF_TICKS + 1);
    car.set("arm", true);
    ticks(car, 3);
    expect(named(car)).toEqual(["ARM"]);
  });

  test("the arm switch holds off for 50 ms after arming, not longer", () => {
    const car = arm(standingCar(smallSettings()));
    ticks(car, SETTLE_TICKS - 1);
    expect(named(car)).toEqual(["ARM"]);
    car.tick();
    expect(named(car)).toEqual([]);
  });

  test("without settings nothing but that and the arm switch is named", () => {
    const rig = freshCore();
    rig.start();
    for (let i = 1; i < 20; i++) rig.core.tick(i * 1000);
    expect(rig.live.get("reasons")).toBe((1 << interlockNumber("SETTINGS")) | (1 << interlockNumber("ARM")));
  });

  test("everything that holds off is named at once", () => {
    const settings = fullSettings();
    const car = standingCar(settings, { rpm: 9000, deciKmh: 60, batteryMv: 8000, coolantMv: 4400 });
    put(car, settings, "throttle", 100);
    put(car, settings, "manifold", 300);
    put(car, settings, "bottle", 1000);
    put(car, settings, "fuel", 100);
    ticks(car, 10 * TURN_TICKS);
    const windows = ["GEAR-WIN", "MAP-WIN", "RPM-WIN", "SPEED-WIN"];
    const own = ["BATT-LOW", "BOTTLE-LOW", "COOLANT", "FUEL-LOW", "WOT"];
    expect(named(car)).toEqual(["ARM", ...own, ...windows].sort());
    car.raw.adcMissing = 1;
    car.stuckCodes.set(0, 4095);
    ticks(car, TURN_TICKS);
    expect(named(car)).toEqual(expect.arrayContaining(["ADC", "SENSOR", "ARM", "BATT-LOW"]));
  });

  test.prop([fc.integer({ min: 3, max: 70 })], runs(68))(
    "engine pulses are missed after three periods, but never later than 60 ms",
    (periodMs) => {
      const car = standingCar(smallSettings(), { rpm: 30_000 / periodMs });
      ticks(car, 10 * periodMs);
      const { engine } = car.raw;
      car.engineWireCut = true;
      for (let i = 0; i < 4 * periodMs; i++) {
        car.tick();
        const late = car.raw.nowUs - engine.edgeUs > Math.min(3 * engine.periodUs, 60_000);
        expect(named(car).includes("RPM-LOST")).toBe(late);
      }
    },
  );
});

describe("a trip", () => {
  const settings = withPart("bottle", (s) => {
    s.manifold = { ...structuredClone(fullSettings().manifold!), overboost: { aboveDeciKpa: 1500 } };
  });

  test("is told by what came first, with its value, until the next arming", () => {
    for (let phase = 0; phase < TURN_TICKS; phase++) {
      const car = flowingCar(settings, { manifoldMv: mvAt(lineOf(settings, "manifold")!, 950) });
      ticks(car, 100 + phase);
      put(car, settings, "manifold", 1600);
      put(car, settings, "bottle", settings.bottle!.highestKpaGauge + 100);
      ticks(car, TURN_TICKS + 4);
      expect(car.trip).toBe(interlockNumber("OVERBOOST"));
      expect(Math.abs(car.rig.live.get("tripValue") - 1600)).toBeLessThan(3);
      put(car, settings, "manifold", 950);
      put(car, settings, "bottle", 6700);
      arm(car);
      expect(car.trip).toBe(NONE);
      expect(car.rig.live.get("tripValue")).toBe(0);
    }
  });
});

describe("a new run", () => {
  test("begins the ramps over time anew, also where a lift would resume them", () => {
    const settings = smallSettings((s) => {
      s.flow.afterLift = "resume";
      s.stages[0]!.ramps[0]!.points = [
        [0, 300],
        [1000, 1000],
      ];
    });
    const car = flowingCar(settings);
    ticks(car, 500);
    expect(car.sharePermille(0)).toBeGreaterThan(600);
    arm(car);
    expect(ticksToFlow(car, 200)).toBeGreaterThan(0);
    ticks(car, 20);
    expect(car.sharePermille(0)).toBeLessThan(340);
  });

  test.each([
    ["a sensor", "SENSOR", (car: Car): void => void car.stuckCodes.set(MANIFOLD, 0)],
    ["the converters", "ADC", (car: Car): void => void Object.assign(car.raw, { adcMissing: 4 })],
  ] as const)("counts the bad samples of %s from nothing", (_, id, spoil) => {
    const car = flowingCar(withPart("manifold"));
    const bad = (count: number): void => {
      spoil(car);
      ticks(car, count);
      car.stuckCodes.clear();
      car.raw.adcMissing = 0;
    };
    bad(3);
    expect(car.trip).toBe(interlockNumber(id));
    arm(car);
    bad(2);
    ticks(car, 8);
    expect(car.trip).toBe(NONE);
  });

  test("knows nothing of how long throttle switch and sensor contradicted each other in the last", () => {
    const car = flowingCar(withPosition);
    const contradict = (): void => {
      car.set("throttle", false);
      ticks(car, 80);
      car.set("throttle", true);
    };
    ticks(car, 100);
    contradict();
    arm(car);
    contradict();
    ticks(car, 20);
    expect(car.trip).toBe(NONE);
  });

  test("does not miss the pulses of an engine that was switched off after the last", () => {
    const car = flowingCar(smallSettings());
    ticks(car, 100);
    car.set("arm", false);
    ticks(car, 300);
    car.engineWireCut = true;
    ticks(car, 100);
    ticks(arm(car), 100);
    expect(car.trip).toBe(NONE);
    expect(modeOf(car)).toBe("armed");
  });

  test("has no cut-back from the last", () => {
    const settings = smallSettings((s) => {
      s.road = { pulsesPerKm: 60_000, sender: "driveshaft" };
      s.driveline = { fastestDeciKmhPerS: 600, cutToPermille: 300, holdMs: 2000 };
    });
    const car = flowingCar(settings);
    ticks(car, 200);
    for (let i = 0; i < 20; i++) {
      car.point.deciKmh += 20;
      car.tick();
    }
    expect(car.sharePermille(0)).toBe(300);
    arm(car);
    expect(ticksToFlow(car, 200)).toBeGreaterThan(0);
    ticks(car, 100);
    expect(car.sharePermille(0)).toBe(600);
  });
});
