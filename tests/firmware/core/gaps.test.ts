// The look at what is on all the time: how often, how long, at which pins, what it finds, and when it is not made.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { GAP_US } from "#shared-schema/model/blocks.ts";
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";
import type { Car } from "../../oracle/car.ts";
import type { Settings } from "../../oracle/settings.ts";
import { arm, modeOf, smallSettings, standingCar, ticks, ticksToFlow } from "../../oracle/stand.ts";
import { runs } from "../../support/effort.ts";

/** Looks are so far apart; four of them, so far apart when something is wrong, lock out. */
const EVERY_TICKS = 50;
const AGAIN_TICKS = 4;
const LOOKS = 4;
const KINDS = { shorted: 1, openLoad: 2 } as const;
const CLOSING_US = 6000;

function settingsWith(permille: number, change = (_: Settings): void => {}): Settings {
  return smallSettings((s) => {
    const [stage] = s.stages;
    stage!.ramps[0]!.points = [
      [0, permille],
      [1, permille],
    ];
    stage!.nitrousSolenoid.closingUs = CLOSING_US;
    stage!.fuelSolenoid!.closingUs = CLOSING_US;
    change(s);
  });
}

function flowing(settings: Settings, forTicks = 300): Car {
  const car = arm(standingCar(settings));
  expect(ticksToFlow(car, 200)).toBeGreaterThan(0);
  ticks(car, forTicks);
  return car;
}

/** Pins that had a gap in each of the next ticks. */
function gapsIn(car: Car, count: number): number[] {
  return Array.from({ length: count }, () => {
    car.tick();
    return car.gaps;
  });
}

describe("wide open", () => {
  test("both pins have a gap of one tick, twenty times a second", () => {
    const gaps = gapsIn(flowing(settingsWith(1000)), 1000);
    const at = gaps.flatMap((pins, tick) => (pins ? [tick] : []));
    expect(new Set(gaps)).toEqual(new Set([0, 3]));
    expect(at.length).toBe(1000 / EVERY_TICKS);
    for (let i = 1; i < at.length; i++) expect(at[i]! - at[i - 1]!).toBe(EVERY_TICKS);
  });

  test("the first comes within two of these times from the first full pulse", () => {
    const car = flowing(settingsWith(1000), 0);
    while (car.pin(0) <= car.top) car.tick();
    expect(gapsIn(car, 2 * EVERY_TICKS).filter((pins) => pins !== 0).length).toBeGreaterThan(0);
  });

  test.each([
    [1, "nitrous"],
    [2, "nitrous"],
    [1, "fuel"],
    [2, "fuel"],
  ] as const)(
    "stage %i has a gap at both pins where its %s pin is on for longer; the other stage has none",
    (number, longer) => {
      const s = number - 1;
      const settings = settingsWith(0, ({ flow, stages }) => {
        const [first] = stages;
        flow.frequencyHz = 9;
        first!.portionPermille = 500;
        first![longer === "fuel" ? "nitrousSolenoid" : "fuelSolenoid"]!.closingUs = CLOSING_US + 4000;
        stages.push(structuredClone(first!));
        for (const [n, { ramps }] of stages.entries())
          ramps[0]!.points = ramps[0]!.points.map(([ms]) => [ms, n === s ? 600 : 250]);
      });
      expect(new Set(gapsIn(flowing(settings), 6000))).toEqual(new Set([0, 3 << (2 * s)]));
    },
  );

  test("a dry stage has its nitrous pin looked at, and no other", () => {
    const dry = settingsWith(1000, (s) => {
      const [stage] = s.stages;
      stage!.kind = "dry";
      delete stage!.fuelSolenoid;
      stage!.enrichment = { withinMs: 100 };
    });
    expect(new Set(gapsIn(flowing(dry), 200))).toEqual(new Set([0, 1]));
  });

  test.prop(
    [
      fc.integer({ min: 0, max: EVERY_TICKS - 1 }),
      fc.integer({ min: 0, max: 1 }),
      fc.constantFrom("shorted", "openLoad" as const),
    ],
    runs(30),
  )("what a driver or its load does wrong locks out within a tenth of a second", (phase, channel, kind) => {
    const car = flowing(settingsWith(1000));
    ticks(car, phase);
    car.wiring.stuckDrainsMv.set(channel, kind === "shorted" ? 100 : 2500);
    let took = 0;
    while (modeOf(car) !== "locked" && took < 300) {
      car.tick();
      took++;
    }
    expect(took).toBeLessThanOrEqual(EVERY_TICKS + (LOOKS - 1) * AGAIN_TICKS + 2);
    expect(INTERLOCKS[car.trip]?.id).toBe("DRIVER");
    expect(car.rig.live.get("tripValue")).toBe((channel + 1) * 256 + KINDS[kind]);
  });

  test("one wrong look is followed by the next after four ticks, and three are not enough", () => {
    const car = flowing(settingsWith(1000));
    while (car.gaps === 0) car.tick();
    car.wiring.stuckDrainsMv.set(0, 100);
    expect(gapsIn(car, AGAIN_TICKS)).toEqual([0, 0, 0, 3]);
    expect(gapsIn(car, AGAIN_TICKS)).toEqual([0, 0, 0, 3]);
    car.tick();
    car.wiring.stuckDrainsMv.clear();
    ticks(car, 500);
    expect(modeOf(car)).toBe("flowing");
  });
});

describe("no gap", () => {
  test("where the pins are low in each period", () => {
    const gaps = gapsIn(flowing(settingsWith(600)), 1000);
    expect(new Set(gaps)).toEqual(new Set([0]));
  });

  test.each([
    [3 * GAP_US, 3],
    [3 * GAP_US - 1, 0],
  ])("where a valve closes in less than 3.3 ms: %i us", (closingUs, pins) => {
    for (const name of ["nitrousSolenoid", "fuelSolenoid"] as const) {
      const quick = settingsWith(1000, (s) => {
        s.stages[0]![name]!.closingUs = closingUs;
      });
      expect(Math.max(...gapsIn(flowing(quick), 300))).toBe(pins);
    }
  });

  test("after flow has stopped", () => {
    const car = flowing(settingsWith(1000));
    car.set("throttle", false);
    expect(new Set(gapsIn(car, 300))).toEqual(new Set([0]));
  });
});
