// The order of stages: waiting for one another, delays, what a lift does to the ramps, and timing ahead of flow.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import type { Car } from "../../oracle/car.ts";
import { openingUs } from "../../oracle/pulse-model.ts";
import type { Settings } from "../../oracle/settings.ts";
import { rampAt } from "../../oracle/share-model.ts";
import {
  arm,
  GOOD_POINT,
  isFed,
  SETTLING_TICKS,
  smallSettings,
  standingCar,
  TURN_TICKS,
  ticks,
} from "../../oracle/stand.ts";
import { runs } from "../../support/effort.ts";

const HELD_TICKS = 20;
/** Ticks by which a stage may be late or early: its turn, and the one before. */
const TURNS = 2 * TURN_TICKS;

const slope: [number, number][] = [
  [0, 200],
  [1600, 1000],
];

function twoStages(change: (settings: Settings) => void): Settings {
  return smallSettings((s) => {
    const [stage] = s.stages;
    stage!.ramps = [{ over: "time", points: slope }];
    s.stages = [stage!, structuredClone(stage!)];
    change(s);
  });
}

function settled(settings: Settings): Car {
  const car = arm(standingCar(settings));
  ticks(car, SETTLING_TICKS);
  return car;
}

/** Ticks until a stage has a share; fails past `most`. */
function ticksToShare(car: Car, stage: number, most: number): number {
  for (let i = 1; i <= most; i++) {
    car.tick();
    if (car.sharePermille(stage) > 0) return i;
  }
  throw new Error(`stage ${stage + 1} has no share after ${most} ticks`);
}

describe("a stage that follows", () => {
  test.prop([fc.integer({ min: 250, max: 900 })], runs(10))(
    "opens when the one before has its share",
    (share) => {
      const settings = twoStages((s) => {
        s.stages[1]!.follows = { sharePermille: share };
      });
      const at = ticksToShare(settled(settings), 1, 2000);
      expect(Math.abs(at - 2 * (share - 200))).toBeLessThanOrEqual(2 * TURNS);
    },
  );

  test("opens when the one before is at its full share, where that is asked for", () => {
    const settings = twoStages((s) => {
      s.stages[1]!.follows = { sharePermille: 1000 };
    });
    expect(Math.abs(ticksToShare(settled(settings), 1, 2000) - 1600)).toBeLessThanOrEqual(2 * TURNS);
  });

  test("waits for ever when it is the first", () => {
    const car = settled(
      smallSettings((s) => {
        s.stages[0]!.follows = { sharePermille: 50 };
      }),
    );
    ticks(car, 3000);
    expect(car.sharePermille(0)).toBe(0);
  });
});

describe("a stage with a delay", () => {
  const settings = twoStages((s) => {
    s.stages[1]!.delay = { waitMs: 300 };
  });

  test("opens that long after everything else allows it, and waits again after a lift", () => {
    const car = settled(settings);
    expect(Math.abs(ticksToShare(car, 1, 400) - 300)).toBeLessThanOrEqual(TURNS);
    ticks(car, 200);
    car.set("throttle", false);
    ticks(car, 30);
    car.set("throttle", true);
    expect(Math.abs(ticksToShare(car, 1, 400) - 300 - HELD_TICKS)).toBeLessThanOrEqual(TURNS);
  });
});

describe("after a lift", () => {
  const ranMs = 800;
  const stepBackMs = 300;
  const goesOnAt = { restart: 0, resume: ranMs, "step-back": ranMs - stepBackMs } as const;

  test.each(Object.entries(goesOnAt))("%s", (afterLift, from) => {
    const car = settled(
      smallSettings((s) => {
        s.stages[0]!.ramps = [{ over: "time", points: slope }];
        s.flow.afterLift = afterLift as Settings["flow"]["afterLift"];
        s.flow.stepBackMs = stepBackMs;
      }),
    );
    ticks(car, ranMs);
    car.set("throttle", false);
    ticks(car, 500);
    expect(isFed(car)).toBe(false);
    car.set("throttle", true);
    ticks(car, HELD_TICKS + 100);
    const [low, high] = [from + 100 - 2 * TURNS, from + 100 + 2 * TURNS].map((ms) => rampAt(slope, ms));
    expect(car.sharePermille(0)).toBeGreaterThanOrEqual(low!);
    expect(car.sharePermille(0)).toBeLessThanOrEqual(high!);
  });
});

describe("the retard request", () => {
  const table = [
    { flowPermille: 0, angleDeciDeg: 0 },
    { flowPermille: 1000, angleDeciDeg: 100 },
  ];
  const rising = (count: number, max: number): fc.Arbitrary<number[]> =>
    fc
      .uniqueArray(fc.integer({ min: 0, max }), { minLength: count, maxLength: count })
      .map((list) => list.sort((a, b) => a - b));
  const anyTable = fc
    .integer({ min: 2, max: 6 })
    .chain((count) => fc.tuple(rising(count, 1000), rising(count, 600)))
    .map(([flows, angles]) => flows.map((flowPermille, i) => ({ flowPermille, angleDeciDeg: angles[i]! })));

  /** Shares, permille, up to which each period has its pulse, and from which valves are held open over a period. */
  function pulsedAndOpen({ flow, stages }: Settings, mv: number): [number, number] {
    const periodUs = 1e6 / flow.frequencyHz;
    const valves = [stages[0]!.nitrousSolenoid, stages[0]!.fuelSolenoid!];
    const slowest = Math.max(...valves.map((valve) => openingUs(valve, mv)));
    const open = 1000 * (1 - slowest / periodUs);
    return [open - 1000 / 16, open];
  }

  test.prop([anyTable, fc.integer({ min: 1, max: 1000 })], runs(60))(
    "is that of its table, straight between its points, at the flow that is asked for; of full flow where valves are held open",
    (any, share) => {
      const full = 600;
      const settings = smallSettings((s) => {
        s.retard = { fullSignalDeciDeg: full, leadMs: 0, table: any };
        const points: [number, number][] = [
          [0, share],
          [1, share],
        ];
        s.stages[0]!.ramps = [{ over: "time", points }];
      });
      const car = arm(standingCar(settings));
      ticks(car, SETTLING_TICKS + 50);
      const list = any.map(({ flowPermille, angleDeciDeg }): [number, number] => [
        flowPermille,
        angleDeciDeg,
      ]);
      const [pulsed, open] = pulsedAndOpen(settings, GOOD_POINT.batteryMv);
      const flows = share <= pulsed ? [share] : share >= open ? [1000] : [share, 1000];
      const request = (flow: number): number =>
        Math.floor((Math.floor(rampAt(list, flow)) * (car.top + 1)) / full);
      expect(flows.map(request)).toContain(car.rig.outputs.get("retard"));
    },
  );

  /** Retard in 0.1 degrees for a share of the only stage. */
  const needed = (share: number): number => share / 10;

  test.prop(
    [
      fc.integer({ min: 0, max: 500 }),
      fc.integer({ min: 100, max: 10_000 }),
      fc.array(fc.tuple(fc.integer({ min: 1, max: 120 }), fc.integer({ min: 30, max: 700 })), {
        maxLength: 4,
      }),
    ],
    runs(25),
  )(
    "has run ahead of every share by its lead, lifts or not, and no rise is faster than its limit",
    (leadMs, riseLimitPercentPerS, lifts) => {
      const settings = smallSettings((s) => {
        s.retard = { fullSignalDeciDeg: 200, leadMs, table };
        s.flow.riseLimitPercentPerS = riseLimitPercentPerS;
        s.stages[0]!.ramps = [
          {
            over: "time",
            points: [
              [0, 1000],
              [1, 1000],
            ],
          },
        ];
      });
      const car = arm(standingCar(settings));
      const asked: number[] = [];
      let before = 0;
      const rise = (riseLimitPercentPerS * 2 * TURN_TICKS) / 100;
      const run = (count: number): void => {
        for (let i = 0; i < count; i++) {
          car.tick();
          asked.unshift((200 * car.rig.outputs.get("retard")) / (car.top + 1));
          asked.length = Math.min(asked.length, Math.max(1, leadMs - TURNS));
          const share = car.sharePermille(0);
          expect(Math.min(...asked) + 1).toBeGreaterThanOrEqual(needed(isFed(car) ? share : 0) - 1);
          expect(share).toBeLessThanOrEqual(before + rise + 1);
          before = share;
        }
      };
      run(SETTLING_TICKS + 700);
      for (const [off, on] of lifts) {
        car.set("throttle", false);
        run(off);
        car.set("throttle", true);
        run(on);
      }
      expect(car.trip).toBe(255);
    },
  );

  const steps = fc.array(
    fc.tuple(fc.integer({ min: 4000, max: 6400 }), fc.integer({ min: 0, max: 300 }), fc.boolean()),
    { minLength: 2, maxLength: 8 },
  );

  test.prop([fc.integer({ min: 0, max: 500 }), steps], runs(25))(
    "does not fall before the lead is over: flow goes first, timing comes back after it",
    (leadMs, moves) => {
      const settings = smallSettings((s) => {
        s.retard = { fullSignalDeciDeg: 200, leadMs, table };
        s.stages[0]!.ramps = [
          {
            over: "engine-speed",
            points: [
              [3600, 100],
              [6500, 1000],
            ],
          },
        ];
      });
      const car = settled(settings);
      const shares: number[] = [];
      const run = (count: number): void => {
        for (let i = 0; i < count; i++) {
          car.tick();
          shares.unshift(car.sharePermille(0));
          const asked = (200 * car.rig.outputs.get("retard")) / (car.top + 1);
          const lately = Math.max(0, ...shares.slice(0, Math.max(0, leadMs - TURNS)));
          expect(asked + 1).toBeGreaterThanOrEqual(needed(lately) - 1);
        }
      };
      run(leadMs + 100);
      for (const [rpm, ms, lift] of moves) {
        const from = car.point.rpm;
        for (let i = 1; i <= ms; i++) {
          car.point.rpm = from + ((rpm - from) * i) / ms;
          run(1);
        }
        if (lift) car.set("throttle", false);
        run(40);
        car.set("throttle", true);
      }
      car.set("arm", false);
      run(2 * leadMs + 4 * TURNS);
      expect(car.rig.outputs.get("retard"), "two leads after the end of flow it is gone").toBe(0);
    },
  );
});
