// A stage that is cut short again and again, by a hold-off or by its own ramp: how long nitrous flows without its fuel, by valves with a state.
import { describe, expect, test } from "vitest";
import type { Car } from "../../oracle/car.ts";
import type { Settings, Solenoid } from "../../oracle/settings.ts";
import { flowingCar, smallSettings } from "../../oracle/stand.ts";
import { Valve } from "../../oracle/valve.ts";
import { put, withPart } from "./interlock-moves.ts";

/** The fuel valve opens later, as far as the rules on settings allow at 6500 rpm, and closes sooner. */
const NITROUS: Solenoid = { opening10VUs: 9000, opening12VUs: 7000, opening14VUs: 6000, closingUs: 9000 };
const FUEL: Solenoid = { opening10VUs: 13_000, opening12VUs: 11_500, opening14VUs: 10_500, closingUs: 5000 };
const TICKS = 2000;
/** Most of the time in which nitrous may flow alone, since a cut at an unlucky moment leaves some; and what one cut leaves. */
const MOST = 1 / 40;
const ONCE_US = 15_000;

/** The car at a tick, and whether nitrous flows into the engine now. */
type Each = (car: Car, tick: number, flows: boolean) => void;

function slowFuel(settings: Settings): Settings {
  const changed = structuredClone(settings);
  const [stage] = changed.stages;
  stage!.nitrousSolenoid = NITROUS;
  stage!.fuelSolenoid = FUEL;
  stage!.ramps[0]!.points = [
    [0, 600],
    [1, 600],
  ];
  changed.flow.riseLimitPercentPerS = 10_000;
  changed.windows.engineSpeed = { openRpm: 3500, closeRpm: 6500, hysteresisRpm: 100 };
  return changed;
}

const SMALL = slowFuel(smallSettings());
const BOTTLE = slowFuel(withPart("bottle"));
const { lowestKpaGauge, hysteresisKpaGauge } = BOTTLE.bottle!;
const READY = lowestKpaGauge + hysteresisKpaGauge + 20;
const STEEP = structuredClone(SMALL);
STEEP.stages[0]!.ramps = [
  {
    over: "engine-speed",
    points: [
      [3990, 0],
      [4000, 600],
    ],
  },
];

/** Eight pulses a cycle of 34 ms: one of them is slow. */
const EIGHT = structuredClone(SMALL);
EIGHT.engine.pulsesHalfPulses = 8;

/** Bottle pressure at its sensor falls while nitrous flows, and comes back without it. */
function sagging(): Each {
  let kpa = READY;
  return (car, _tick, flows) => {
    kpa += ((flows ? lowestKpaGauge - 300 : READY) - kpa) / 15;
    put(car, BOTTLE, "bottle", kpa);
  };
}

const CASES: Readonly<Record<string, { settings: Settings; rpm?: number; each: () => Each }>> = {
  "throttle switch without contact for 3 ms of every 34": {
    settings: SMALL,
    each: () => (car, tick) => car.set("throttle", tick % 34 >= 3),
  },
  "bottle pressure that sags with the flow": { settings: BOTTLE, each: sagging },
  "wire of the bottle sensor without contact for 2 ms of every 31": {
    settings: BOTTLE,
    each: () => (car, tick) => {
      if (tick % 31 < 2) car.point.bottleMv = 0;
      else put(car, BOTTLE, "bottle", READY);
    },
  },
  "a weak cylinder where the window on engine speed opens": {
    settings: EIGHT,
    rpm: 3600,
    each: () => (car, tick) => {
      car.point.rpm = tick % 34 < 5 ? 3250 : 3600;
    },
  },
  "engine speed wavering where a ramp begins": {
    settings: STEEP,
    rpm: 4010,
    each: () => (car, tick) => {
      car.point.rpm = tick % 34 < 16 ? 4010 : 3985;
    },
  },
};

/** Runs a car and follows both valves; microseconds of flow of each. */
function flowOf(car: Car, each: Each): { nitrous: number; fuel: number } {
  const valves = [NITROUS, FUEL].map(
    ({ opening12VUs, closingUs }) => new Valve({ openingUs: opening12VUs, closingUs }, car.raw.nowUs),
  );
  valves.forEach((valve, pin) => {
    valve.drive(car.level(pin), car.raw.nowUs);
  });
  for (let tick = 0; tick < TICKS; tick++) {
    each(car, tick, valves[0]!.open);
    car.tick();
    for (const { pin, level, us } of car.edges) valves[pin]?.drive(level, us);
    for (const valve of valves) valve.pass(car.raw.nowUs);
  }
  return { nitrous: valves[0]!.flowedUs, fuel: valves[1]!.flowedUs };
}

describe.each(Object.entries(CASES))("%s", (_name, { settings, rpm, each }) => {
  test("leaves nitrous without its fuel for a fortieth of the time at most", () => {
    const { nitrous, fuel } = flowOf(
      flowingCar(settings, { batteryMv: 12_000, ...(rpm && { rpm }) }),
      each(),
    );
    expect(nitrous - fuel).toBeLessThanOrEqual(MOST * 1000 * TICKS + ONCE_US);
  });
});
