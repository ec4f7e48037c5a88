// On-runs over several periods: their range, how flow begins, what a ripple does, what counts as flowing, timing, and a share that falls.

import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import type { PinEdge } from "#host/bench/core/slice.ts";
import type { Car } from "../../oracle/car.ts";
import { Mixture } from "../../oracle/mixture.ts";
import { longestPattern } from "../../oracle/pulse-model.ts";
import { batteryMv } from "../../oracle/raw.ts";
import type { Settings, Solenoid } from "../../oracle/settings.ts";
import { arm, modeOf, SETTLING_TICKS, smallSettings, standingCar, ticks } from "../../oracle/stand.ts";
import { runs } from "../../support/effort.ts";
import { FlowBench } from "../../support/flow-bench.ts";

const VALVE: Solenoid = { opening10VUs: 14_000, opening12VUs: 11_000, opening14VUs: 9000, closingUs: 8000 };
const PERIOD_MS = 50;

function atShare(share: number, change: (settings: Settings) => void = () => {}): Settings {
  return smallSettings((s) => {
    s.stages[0]!.nitrousSolenoid = s.stages[0]!.fuelSolenoid = VALVE;
    s.stages[0]!.ramps = [
      {
        over: "time",
        points: [
          [0, share],
          [1, share],
        ],
      },
    ];
    change(s);
  });
}

function flowing(settings: Settings, settleMs = 400): Car {
  const car = arm(standingCar(settings));
  ticks(car, SETTLING_TICKS + settleMs);
  return car;
}

/** What a pin did in so many ticks. */
function edgesOf(car: Car, count: number, pin = 0): PinEdge[] {
  const edges: PinEdge[] = [];
  for (let i = 0; i < count; i++) {
    car.tick();
    edges.push(...car.edges.filter((edge) => edge.pin === pin));
  }
  return edges;
}

describe("the range of share", () => {
  const bench = new FlowBench();

  test.prop([fc.integer({ min: 8, max: 40 }), fc.double({ min: 0, max: 1, noNaN: true })], runs(150))(
    "goes from closing / (n x period) to 1 - opening / (n x period), and every share in it is made",
    (frequencyHz, place) => {
      const valve: Solenoid = { opening10VUs: 9000, opening12VUs: 7000, opening14VUs: 6000, closingUs: 5000 };
      const wholeUs = (longestPattern(frequencyHz) * 1e6) / frequencyHz;
      const entry = wholeUs / longestPattern(frequencyHz) / 100;
      const [low, high] = [(5000 + entry) / wholeUs, 1 - 7100 / wholeUs];
      const sharePermille = Math.ceil(1000 * (low + (high - low) * place) - 0.5);
      const flow = { nitrous: valve, fuel: valve, frequencyHz, batteryMv: 12_000, sharePermille };
      bench.set(flow);
      const { nitrous } = bench.make(flow);
      expect(Math.abs(nitrous - sharePermille / 1000)).toBeLessThan(0.001);
    },
  );

  test("is 8 to 89 % at 20 Hz with 11 ms to open and 8 ms to close, where one period made 16 to 78 %", () => {
    for (const [share, made] of [
      [90, 0.09],
      [160, 0.16],
      [500, 0.5],
      [785, 0.785],
      [885, 0.885],
    ] as const) {
      const flow = { nitrous: VALVE, fuel: VALVE, frequencyHz: 20, batteryMv: 12_000, sharePermille: share };
      bench.set(flow);
      expect(Math.abs(bench.make(flow).nitrous - made)).toBeLessThan(0.001);
    }
  });
});

describe("two valves of which one would reach alone into the next period", () => {
  const HZ = 25;
  const PERIOD_US = 1e6 / HZ;
  /** At 55 to 58 % over two periods of 40 ms the first would stay on for 54 ms and the second for 38; at 57.5 for 40 to the step. */
  const long: Solenoid = {
    opening10VUs: 20_000,
    opening12VUs: 18_000,
    opening14VUs: 16_000,
    closingUs: 8000,
  };
  const short: Solenoid = { opening10VUs: 10_000, opening12VUs: 8000, opening14VUs: 7000, closingUs: 14_000 };
  const JUST_AFTER_US = 2;

  test.each([
    ["nitrous", { nitrous: long, fuel: short }],
    ["fuel", { nitrous: short, fuel: long }],
  ])("end in the same period, where %s is the longer, and make the same", (_longer, valves) => {
    const bench = new FlowBench();
    let patterns = 0;
    for (let sharePermille = 519; sharePermille <= 639; sharePermille += 4) {
      const flow = { ...valves, frequencyHz: HZ, batteryMv: 12_000, sharePermille };
      bench.set(flow);
      const made = bench.make(flow);
      expect(Math.abs(made.nitrous - made.fuel), `${sharePermille} permille`).toBeLessThan(0.005);
      const edges: PinEdge[] = [];
      for (let i = 0; i < 300; i++) {
        bench.car.tick();
        edges.push(...bench.car.edges.filter(({ pin }) => pin < 2));
      }
      if (bench.periods > 1) patterns++;
      const first = edges.find(({ pin, level }) => pin === 0 && level)!.us;
      const isOn = (pin: number, us: number): boolean =>
        edges.filter((edge) => edge.pin === pin && edge.us <= us).at(-1)?.level ?? false;
      for (let us = first + JUST_AFTER_US; us < edges.at(-1)!.us; us += PERIOD_US)
        expect(isOn(0, us), `${sharePermille} permille, ${us - first} us`).toBe(isOn(1, us));
    }
    expect(patterns).toBeGreaterThan(5);
  });
});

describe("a stage that was shut", () => {
  test.prop([fc.integer({ min: 790, max: 1000 })], runs(20))(
    "begins with a pulse, whatever share is asked for",
    (share) => {
      const car = arm(standingCar(atShare(share)));
      const [rise, fall] = edgesOf(car, 200);
      expect(rise!.level).toBe(true);
      expect(fall!.us - rise!.us).toBeLessThan(1000 * PERIOD_MS);
    },
  );
});

describe("a ripple of 60 mV on the battery", () => {
  test("does not make it change to and fro between patterns, at any share", () => {
    const bench = new FlowBench();
    for (let share = 760; share <= 960; share += 2) {
      const flow = { nitrous: VALVE, fuel: VALVE, frequencyHz: 20, batteryMv: 12_000, sharePermille: share };
      bench.set(flow);
      const kinds: number[] = [];
      for (let i = 0; i < 500; i++) {
        bench.car.point.batteryMv = 12_000 + (i % 10 < 5 ? 30 : -30);
        bench.car.tick();
        if (kinds.at(-1) !== bench.periods) kinds.push(bench.periods);
      }
      expect(kinds.length, `at ${share} permille`).toBeLessThanOrEqual(2);
    }
  });
});

describe("shut periods of a pattern", () => {
  test("count as flowing for mode, output and every timer", () => {
    const settings = atShare(100, (s) => {
      s.stages[0]!.longestMs = 700;
    });
    const car = arm(standingCar(settings));
    ticks(car, SETTLING_TICKS + 10);
    let [low, ms] = [0, 0];
    for (; car.trip === 255 && ms < 1000; ms++) {
      expect(modeOf(car)).toBe("flowing");
      expect(car.flowing).toBe(1);
      if (!car.level(0) && !car.level(1)) low++;
      car.tick();
    }
    expect(low).toBeGreaterThan(500);
    expect(Math.abs(ms - 700)).toBeLessThanOrEqual(20);
  });
});

describe("the retard request", () => {
  const degrees = (car: Car): number => car.rig.live.get("retardDeciDeg");
  const withRetard = (share: number): Settings =>
    atShare(share, (s) => {
      s.retard = {
        fullSignalDeciDeg: 200,
        leadMs: 100,
        table: [
          { flowPermille: 0, angleDeciDeg: 0 },
          { flowPermille: 1000, angleDeciDeg: 100 },
        ],
      };
    });

  test("is the full one where a pattern holds an open period, and that of the share where each period is pulsed", () => {
    expect(degrees(flowing(withRetard(850)))).toBe(100);
    expect(degrees(flowing(withRetard(700)))).toBe(70);
    expect(degrees(flowing(withRetard(120)))).toBe(12);
  });

  test("has been the full one for its lead when a valve first stays open for a period", () => {
    const settings = withRetard(0);
    settings.stages[0]!.ramps[0]!.points = [
      [0, 300],
      [2000, 1000],
    ];
    const car = arm(standingCar(settings));
    let fullSince: number | undefined;
    let riseUs: number | undefined;
    for (let ms = 0; ms < 2000; ms++) {
      car.tick();
      if (degrees(car) === 100) fullSince ??= car.raw.nowUs;
      for (const { pin, level, us } of car.edges) {
        if (pin !== 0) continue;
        if (!level && us - riseUs! > 1000 * PERIOD_MS) {
          expect(riseUs! - fullSince!).toBeGreaterThan(90_000);
          return;
        }
        riseUs = level ? us : undefined;
      }
    }
    expect("a valve stayed open for a period").toBe("seen");
  });
});

describe("a share that falls", () => {
  test.prop([fc.integer({ min: 0, max: 100 }), fc.integer({ min: 790, max: 900 })], runs(15))(
    "ends the on-run under way where the next period allows it, both valves by as much",
    (afterMs, share) => {
      const settings = atShare(share, (s) => {
        s.stages[0]!.fuelSolenoid = { ...VALVE, opening12VUs: 9000, closingUs: 6000 };
        s.stages[0]!.ramps = [
          {
            over: "engine-speed",
            points: [
              [5100, share],
              [5200, 300],
            ],
          },
        ];
      });
      const car = flowing(settings);
      const mixture = new Mixture(settings, car.raw.nowUs);
      const wrong: string[] = [];
      const run = (ms: number): void => {
        for (let i = 0; i < ms; i++) {
          car.tick();
          wrong.push(...mixture.update(car.raw.nowUs, car.edges, batteryMv(car.raw), car.runs));
        }
      };
      run(afterMs);
      car.point.rpm = 5400;
      run(2 * PERIOD_MS + 15);
      expect(edgesOf(car, 2 * PERIOD_MS).filter(({ level }) => level).length).toBe(2);
      expect(wrong).toEqual([]);
      expect(mixture.compared).toBeGreaterThan(0);
    },
  );
});

describe("a stage that was cut", () => {
  const settings = atShare(600, (s) => {
    const [stage] = s.stages;
    stage!.nitrousSolenoid = {
      opening10VUs: 5000,
      opening12VUs: 4000,
      opening14VUs: 3000,
      closingUs: 12_000,
    };
    stage!.fuelSolenoid = { opening10VUs: 9000, opening12VUs: 8000, opening14VUs: 7000, closingUs: 8000 };
    s.road = { pulsesPerKm: 60_000, sender: "driveshaft" };
    stage!.roadSpeed = { openDeciKmh: 200, closeDeciKmh: 1000, hysteresisDeciKmh: 20 };
  });
  const noise = (car: Car, back: boolean): void => car.set("arm", back);
  const windowLeft = (car: Car, back: boolean): void => {
    car.point.deciKmh = back ? 800 : 1100;
  };
  const holdOff = (car: Car, back: boolean): void => car.set("throttle", back);

  test.prop(
    [
      fc.constantFrom(noise, windowLeft, holdOff),
      fc.integer({ min: 0, max: PERIOD_MS }),
      fc.integer({ min: 1, max: 30 }),
    ],
    runs(60),
  )("does not open again before both valves have closed", (cut, afterMs, forMs) => {
    const car = flowing(settings, 100 + afterMs);
    const mixture = new Mixture(settings, car.raw.nowUs);
    const wrong: string[] = [];
    const lowUs = [0, 0];
    const run = (ms: number): void => {
      for (let i = 0; i < ms; i++) {
        const before = car.runs;
        car.tick();
        wrong.push(...mixture.update(car.raw.nowUs, car.edges, batteryMv(car.raw), car.runs));
        for (const { pin, level, us } of car.edges) if (!level && pin < 2) lowUs[pin] = us;
        if (before || !car.runs) continue;
        expect(car.raw.nowUs - lowUs[0]!).toBeGreaterThanOrEqual(12_000);
        expect(car.raw.nowUs - lowUs[1]!).toBeGreaterThanOrEqual(8000);
      }
    };
    cut(car, false);
    run(Math.min(forMs, cut === noise ? 4 : forMs));
    cut(car, true);
    run(16 * PERIOD_MS);
    expect(car.runs).toBe(1);
    expect(wrong).toEqual([]);
  });
});
