// The ramps one by one: every axis, the lower of two, the rise limit, launch by press and by release, restart after a lift.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import type { Car } from "../../oracle/car.ts";
import { type Axis, lineOf, mvAt, type Ramp, type Settings } from "../../oracle/settings.ts";
import { rampAt } from "../../oracle/share-model.ts";
import {
  arm,
  flowingCar,
  SETTLING_TICKS,
  smallSettings,
  standingCar,
  TURN_TICKS,
  ticks,
} from "../../oracle/stand.ts";
import { fullDocument } from "../../support/documents.ts";
import { runs } from "../../support/effort.ts";

const full = fullDocument() as unknown as Settings;

function withRamps(...ramps: Ramp[]): Settings {
  return smallSettings((settings) => {
    settings.road = { pulsesPerKm: 60_000, sender: "driveshaft" };
    settings.manifold = structuredClone(full.manifold!);
    delete settings.manifold.overboost;
    settings.launch = { startsAt: "press" };
    settings.stages[0]!.ramps = ramps;
  });
}

const flat = (share: number): Ramp => ({
  over: "time",
  points: [
    [0, share],
    [1, share],
  ],
});

/** Is the share one that the ramp gave within the last turns? */
function near(car: Car, list: Ramp["points"], ms: number): boolean {
  const shares = Array.from({ length: 3 * TURN_TICKS }, (_, i) => rampAt(list, ms + TURN_TICKS - i));
  const share = car.sharePermille(0);
  return share >= Math.min(...shares) - 1 && share <= Math.max(...shares) + 1;
}

/** A rising axis with any shares from its start to its end. */
const points = (from: number, to: number): fc.Arbitrary<Ramp["points"]> =>
  fc
    .uniqueArray(fc.tuple(fc.integer({ min: from, max: to }), fc.integer({ min: 0, max: 1000 })), {
      minLength: 2,
      maxLength: 12,
      selector: ([at]) => at,
    })
    .map((list) => list.sort(([a], [b]) => a - b));

interface Sweep {
  readonly from: number;
  readonly to: number;
  readonly step: number;
  readonly put: (car: Car, place: number) => void;
  /** What the core itself says of the place, so that only the ramp is compared here. */
  readonly column: string;
}

const SWEEPS: Partial<Record<Axis, Sweep>> = {
  "engine-speed": {
    from: 3600,
    to: 6500,
    step: 67,
    put: (car, rpm) => {
      car.point.rpm = rpm;
    },
    column: "engineRpm",
  },
  "road-speed": {
    from: 300,
    to: 2900,
    step: 61,
    put: (car, deciKmh) => {
      car.point.deciKmh = deciKmh;
    },
    column: "roadDeciKmh",
  },
  manifold: {
    from: 300,
    to: 2900,
    step: 61,
    put: (car, deciKpa) => {
      car.point.manifoldMv = mvAt(lineOf(full, "manifold")!, deciKpa);
    },
    column: "manifoldDeciKpa",
  },
};

describe.each(Object.entries(SWEEPS) as [Axis, Sweep][])("over %s", (over, sweep) => {
  test.prop([points(sweep.from, sweep.to)], runs(20))(
    "the share is that of the table at the place",
    (list) => {
      const settings = withRamps({ over, points: list });
      const car = standingCar(settings);
      sweep.put(car, sweep.from);
      arm(car);
      ticks(car, SETTLING_TICKS + 20);
      for (let place = sweep.from; place < sweep.to; place += sweep.step) {
        sweep.put(car, place);
        ticks(car, TURN_TICKS * 8);
        const at = car.rig.live.get(sweep.column);
        const shares = [-4, -3, -2, -1, 0, 1, 2, 3, 4].map((off) => rampAt(list, at + off));
        expect(car.sharePermille(0)).toBeGreaterThanOrEqual(Math.min(...shares) - 1);
        expect(car.sharePermille(0)).toBeLessThanOrEqual(Math.max(...shares) + 1);
      }
      expect(car.trip).toBe(255);
    },
  );
});

test("a ramp over road speed gives its first share at a stand", () => {
  const ramp: Ramp = {
    over: "road-speed",
    points: [
      [0, 500],
      [500, 1000],
    ],
  };
  const car = flowingCar(withRamps(ramp), { deciKmh: 0 });
  ticks(car, 100);
  expect(car.sharePermille(0)).toBe(500);
});

describe("over time", () => {
  const list: Ramp["points"] = [
    [100, 300],
    [400, 700],
    [700, 1000],
    [900, 500],
  ];

  test("the time since the stage opened runs from the first tick that may flow", () => {
    const car = arm(standingCar(withRamps({ over: "time", points: list })));
    ticks(car, SETTLING_TICKS + 20);
    for (let ms = 21; ms < 1200; ms++) {
      car.tick();
      expect(near(car, list, ms)).toBe(true);
    }
  });

  test("a lift closes at once and starts the ramp again", () => {
    const car = flowingCar(withRamps({ over: "time", points: list }));
    ticks(car, 500);
    expect(car.sharePermille(0)).toBeGreaterThan(700);
    car.set("throttle", false);
    car.tick();
    expect(car.pin(0)).toBe(0);
    ticks(car, 30);
    expect(car.sharePermille(0)).toBe(0);
    car.set("throttle", true);
    ticks(car, 20 + 60);
    expect(Math.abs(car.sharePermille(0) - 300)).toBeLessThanOrEqual(1);
    ticks(car, 190);
    expect(near(car, list, 250)).toBe(true);
  });
});

describe("over time since launch", () => {
  const list: Ramp["points"] = [
    [0, 400],
    [200, 900],
  ];

  test.each(["press", "release"] as const)("nothing flows before the %s, then the ramp runs", (startsAt) => {
    const settings = withRamps({ over: "launch", points: list });
    settings.launch = { startsAt };
    const car = standingCar(settings);
    car.set("launch", startsAt === "release");
    arm(car);
    ticks(car, 500);
    expect(car.sharePermille(0)).toBe(0);
    car.set("launch", startsAt === "press");
    ticks(car, 15);
    for (let ms = 15; ms < 400; ms++) {
      car.tick();
      expect(near(car, list, ms)).toBe(true);
    }
    car.set("launch", startsAt === "release");
    ticks(car, 50);
    expect(car.sharePermille(0), "the other movement changes nothing").toBe(900);
    car.set("launch", startsAt === "press");
    ticks(car, 30);
    expect(near(car, list, 29), "a new launch starts anew").toBe(true);
  });

  test("the ramp's end is held for minutes", () => {
    const car = standingCar(withRamps({ over: "launch", points: list }));
    arm(car);
    car.set("launch", true);
    ticks(car, 300);
    car.set("throttle", false);
    ticks(car, 6_000, 20_000);
    car.set("throttle", true);
    ticks(car, 300);
    expect(car.sharePermille(0)).toBe(900);
    expect(car.trip).toBe(255);
  });

  test("a launch does not outlive its armed period, and one before it does not count", () => {
    const car = standingCar(withRamps({ over: "launch", points: list }));
    car.set("launch", true);
    ticks(car, 10);
    car.set("launch", false);
    arm(car);
    ticks(car, 200);
    expect(car.sharePermille(0)).toBe(0);
    car.set("launch", true);
    ticks(car, 300);
    expect(car.sharePermille(0)).toBe(900);
    arm(car);
    ticks(car, 300);
    expect(car.sharePermille(0)).toBe(0);
  });
});

describe("the share of a stage", () => {
  const share = fc.integer({ min: 0, max: 1000 });

  test.prop([share, share], runs(20))("is the lower of two ramps", (a, b) => {
    const car = flowingOrShut(withRamps(flat(a), flat(b)));
    expect(car.sharePermille(0)).toBe(Math.min(a, b));
  });

  test.prop([fc.integer({ min: 10, max: 10_000 }), fc.constantFrom(250, 1000, 3000)], runs(20))(
    "rises no faster than its limit, whatever the length of a tick, and loses nothing of it",
    (percentPerS, tickUs) => {
      const settings = withRamps(flat(1000));
      settings.flow.riseLimitPercentPerS = percentPerS;
      const car = arm(standingCar(settings));
      ticks(car, SETTLING_TICKS - 1);
      const turnUs = TURN_TICKS * Math.max(1000, tickUs);
      for (let us = 1000; us < 1_500_000; us += tickUs) {
        car.tick(us === 1000 ? 1000 : tickUs);
        const most = (percentPerS * (us + turnUs)) / 100_000;
        const least = (percentPerS * (us - 2 * turnUs)) / 100_000;
        expect(car.sharePermille(0)).toBeLessThanOrEqual(Math.min(1000, most + 1));
        expect(car.sharePermille(0)).toBeGreaterThanOrEqual(Math.min(1000, Math.floor(least)) - 1);
      }
    },
  );

  test("falls at once", () => {
    const car = flowingCar(
      withRamps({
        over: "engine-speed",
        points: [
          [5100, 1000],
          [5200, 300],
        ],
      }),
      { rpm: 5000 },
    );
    ticks(car, 50);
    expect(car.sharePermille(0)).toBe(1000);
    car.point.rpm = 5400;
    ticks(car, 13);
    expect(car.sharePermille(0)).toBe(300);
  });
});

function flowingOrShut(settings: Settings): Car {
  const car = arm(standingCar(settings));
  ticks(car, SETTLING_TICKS + 50);
  return car;
}
