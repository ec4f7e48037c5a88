// The windows of single stages: each closes its own stage and no other, has its hysteresis, and lets it open again.
import { describe, expect, test } from "vitest";
import { interlockNumber } from "#shared-schema/model/interlocks.ts";
import type { Car } from "../../oracle/car.ts";
import { lineOf, mvAt, type Settings, type Stage } from "../../oracle/settings.ts";
import { arm, SETTLING_TICKS, smallSettings, standingCar, TURN_TICKS, ticks } from "../../oracle/stand.ts";
import { full } from "./interlock-moves.ts";

/** A pulse of either speed comes within so many ticks. */
const PULSE_TICKS = 8;
const WITHIN = TURN_TICKS + PULSE_TICKS;

interface Case {
  readonly window: Partial<Stage>;
  /** What is moved, the values inside, in the hysteresis, and outside; below the window first, then above it. */
  readonly put: (car: Car, value: number) => void;
  readonly inside: number;
  readonly between: readonly [number, number] | undefined;
  readonly outside: readonly [number, number];
  readonly id: string;
}

const CASES: Record<string, Case> = {
  "engine speed": {
    window: { engineSpeed: { openRpm: 4500, closeRpm: 6000, hysteresisRpm: 100 } },
    put: (car, rpm) => {
      car.point.rpm = rpm;
    },
    inside: 5000,
    between: [4450, 5950],
    outside: [4350, 6050],
    id: "RPM-WIN",
  },
  "road speed": {
    window: { roadSpeed: { openDeciKmh: 600, closeDeciKmh: 1000, hysteresisDeciKmh: 20 } },
    put: (car, deciKmh) => {
      car.point.deciKmh = deciKmh;
    },
    inside: 800,
    between: [590, 990],
    outside: [570, 1010],
    id: "SPEED-WIN",
  },
  "manifold pressure": {
    window: { manifold: { openDeciKpa: 900, closeDeciKpa: 1000, hysteresisDeciKpa: 20 } },
    put: (car, deciKpa) => {
      car.point.manifoldMv = mvAt(lineOf(full, "manifold")!, deciKpa);
    },
    inside: 950,
    between: [888, 992],
    outside: [870, 1010],
    id: "MAP-WIN",
  },
  gear: {
    window: { gears: { lowest: "second", highest: "second" } },
    put: (car, deciKmh) => {
      car.point.deciKmh = deciKmh;
    },
    inside: Math.round((100 * 5000) / 640),
    between: undefined,
    outside: [500, Math.round((100 * 5000) / 450)],
    id: "GEAR-WIN",
  },
};

function settingsWith(window: Partial<Stage>): Settings {
  return smallSettings((s) => {
    s.road = { pulsesPerKm: 60_000, sender: "driveshaft" };
    s.gearbox = structuredClone(full.gearbox!);
    s.manifold = structuredClone(full.manifold!);
    delete s.manifold.overboost;
    const stage = s.stages[0]!;
    s.stages = [stage, { ...structuredClone(stage), ...window }, structuredClone(stage)];
  });
}

function flowingAt({ window, put, inside }: Case): Car {
  const car = standingCar(settingsWith(window));
  put(car, inside);
  arm(car);
  ticks(car, SETTLING_TICKS + 4 * TURN_TICKS);
  expect(fed(car)).toEqual([true, true, true]);
  return car;
}

const fed = (car: Car): boolean[] => [0, 1, 2].map((s) => car.fed(s));
const ONLY_OTHERS = [true, false, true];
const ALL = [true, true, true];

describe.each(Object.entries(CASES))("a stage's window on %s", (_, at) => {
  test.each([0, 1] as const)(
    "closes that stage alone, on either side, and has its hysteresis (side %i)",
    (side) => {
      const car = flowingAt(at);
      if (at.between) {
        at.put(car, at.between[side]);
        ticks(car, 100);
        expect(fed(car), "in the hysteresis it stays open").toEqual(ALL);
      }
      at.put(car, at.outside[side]);
      ticks(car, WITHIN);
      expect(fed(car)).toEqual(ONLY_OTHERS);
      expect(car.reasons, "reasons are told only while nothing flows").toBe(0);
      if (at.between) {
        at.put(car, at.between[side]);
        ticks(car, 100);
        expect(fed(car), "in the hysteresis it stays closed").toEqual(ONLY_OTHERS);
      }
      at.put(car, at.inside);
      ticks(car, 100);
      expect(fed(car)).toEqual(ALL);
    },
  );

  test("is named as the reason when nothing else flows", () => {
    const settings = settingsWith(at.window);
    settings.stages = [settings.stages[1]!];
    const car = standingCar(settings);
    at.put(car, at.outside[1]);
    arm(car);
    ticks(car, SETTLING_TICKS + 4 * TURN_TICKS);
    expect(car.reasons).toBe(1 << interlockNumber(at.id));
    expect(fed(car)).toEqual([false, false, false]);
  });
});

test("a stage's own limits on manifold pressure are inside, what is past them by the least is not", () => {
  const { window, inside } = CASES["manifold pressure"]!;
  const { openDeciKpa, closeDeciKpa, hysteresisDeciKpa } = window.manifold!;
  const car = flowingAt(CASES["manifold pressure"]!);
  const seen = new Set<number>();
  for (const step of [1, -1]) {
    let open = true;
    for (let value = inside; Math.abs(value - inside) < 100; value += step / 2) {
      CASES["manifold pressure"]!.put(car, value);
      ticks(car, 2 * TURN_TICKS);
      const deciKpa = car.rig.live.get("manifoldDeciKpa");
      seen.add(deciKpa);
      open = open && deciKpa <= closeDeciKpa && deciKpa >= openDeciKpa - hysteresisDeciKpa;
      expect(fed(car), `${deciKpa}`).toEqual(open ? ALL : ONLY_OTHERS);
    }
    CASES["manifold pressure"]!.put(car, inside);
    ticks(car, 100);
  }
  expect([...seen]).toEqual(expect.arrayContaining([closeDeciKpa, openDeciKpa - hysteresisDeciKpa]));
});

test("a stage's own limit on road speed is inside, too", () => {
  const spec = CASES["road speed"]!;
  const highest = (car: Car): number => {
    const seen: number[] = [];
    for (let i = 0; i < 200; i++) {
      car.tick();
      seen.push(car.rig.live.get("roadDeciKmh"));
    }
    return Math.max(...seen);
  };
  const limit = highest(flowingAt(spec));
  const opens = (closeDeciKmh: number): boolean => {
    const car = standingCar(
      settingsWith({ roadSpeed: { ...spec.window.roadSpeed!, closeDeciKmh, hysteresisDeciKmh: 5 } }),
    );
    spec.put(car, spec.inside - 20);
    ticks(arm(car), 200);
    expect(fed(car)).toEqual(ALL);
    spec.put(car, spec.inside);
    ticks(car, 50);
    expect(highest(car)).toBe(limit);
    return car.fed(1);
  };
  expect(opens(limit)).toBe(true);
  expect(opens(limit - 1)).toBe(false);
});
