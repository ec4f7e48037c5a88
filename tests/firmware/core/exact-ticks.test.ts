// The ticks that the core keeps of a run, whatever it reads: they say of every input what the tick has looked at and nothing more, and repeat what it said.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import type { Piece } from "#host/replay/exact/pieces.ts";
import { replayExact } from "#host/replay/exact/replay.ts";
import type { Tick } from "#host/replay/exact/tick.ts";
import { LOG_PAGE } from "#shared-schema/link/columns.ts";
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";
import { ADC_A } from "#shared-schema/model/pins.ts";
import type { Car } from "../../oracle/car.ts";
import { wrongOf } from "../../oracle/kept.ts";
import type { Settings } from "../../oracle/settings.ts";
import {
  arm,
  fullSettings,
  modeOf,
  OFF_TICKS,
  standingCar,
  store,
  TURN_TICKS,
  ticks,
} from "../../oracle/stand.ts";
import { freshCore } from "../../support/core.ts";
import { Disturbance } from "../../support/disturbance.ts";
import { runs } from "../../support/effort.ts";
import { KeptRun } from "../../support/kept-run.ts";
import { Random } from "../../support/random.ts";
import { saidIn } from "../../support/stored-ticks.ts";
import { put, withPart } from "./interlock-moves.ts";

/** The first tick that a replay of the pieces says otherwise, each piece by itself. */
function firstOther(
  run: number,
  kept: KeptRun,
  pieces: readonly Piece[],
  settings: Settings,
): number | undefined {
  const rig = freshCore();
  rig.start();
  store(rig, settings);
  const memory = new Uint8Array(rig.core.memory.buffer);
  const said: Buffer[] = [];
  replayExact(
    rig,
    pieces.map((piece) => ({ ...piece, follows: false })),
    () => said.push(saidIn(memory)),
  );
  return kept.numbersOf(run).find((n, i) => said[i] && !kept.made[n]!.said.equals(said[i]));
}

/** Lets it arm, flow and end, by the switch if by nothing else; so many ticks of flow at most. */
function drive(car: Car, disturbance: Disturbance, flowTicks: number): void {
  const go = (count: number): void => {
    for (let i = 0; i < count; i++) car.tick(disturbance.us);
  };
  const press = car.lift();
  car.set("enrich", true);
  car.set("arm", false);
  go(OFF_TICKS);
  car.set("arm", true);
  go(250);
  press();
  car.set("launch", true);
  go(20);
  car.set("launch", false);
  go(flowTicks);
  car.set("arm", false);
  ticks(car, 600);
}

const BATTERY = ADC_A.indexOf("battery");
const full = fullSettings((s) => {
  delete s.engine.jump;
  delete s.stages[0]!.follows;
});
const small = withPart("bottle", (s) => {
  s.battery.lowestMv = 8_000;
});
const clamped = withPart("fuel", (s) => {
  s.clamps = { kickMv: 18_500 };
  s.stages[0]!.ramps[0]!.points = [
    [0, 500],
    [1, 500],
  ];
});
const cases: readonly (readonly [string, Settings])[] = [
  ["everything fitted", full],
  ["hardly anything fitted", small],
  ["clamps watched", clamped],
];

describe.each(cases)("%s", (_, settings) => {
  test.prop([fc.nat(2 ** 30)], runs(12))("two runs, whatever is read in them", (seed) => {
    const random = new Random(seed);
    const car = standingCar(settings, {}, 2 ** 32 - random.below(3_000_000));
    if (settings.manifold) put(car, settings, "manifold", 950);
    const disturbance = new Disturbance(random, settings);
    const kept = new KeptRun(car.rig, disturbance.change);
    for (const run of [1, 2]) {
      drive(car, disturbance, random.between(100, 1500));
      const pieces = kept.pieces(run);
      expect(wrongOf(run, kept, pieces, settings)).toEqual([]);
      expect(firstOther(run, kept, pieces, settings)).toBeUndefined();
      if (modeOf(car) === "locked") return;
    }
  });
});

test.each([0, 1])("a coil at pin %i that does not kick locks out in a replay too", (pin) => {
  const car = standingCar(clamped);
  const kept = new KeptRun(car.rig, () => {});
  arm(car);
  ticks(car, 200);
  expect(modeOf(car)).toBe("flowing");
  car.wiring.kickless = 1 << pin;
  ticks(car, 1500);
  expect(INTERLOCKS[car.trip]?.id).toBe("CLAMP");
  const pieces = kept.pieces(1);
  expect(wrongOf(1, kept, pieces, clamped)).toEqual([]);
  expect(firstOther(1, kept, pieces, clamped)).toBeUndefined();
});

test("counters that stand where those of the run before would have gone on to are none of the next run's business", () => {
  const car = standingCar(small);
  let before: { us: number; phase: readonly number[] } | undefined;
  const kept = new KeptRun(car.rig, (tick) => {
    if (!before) return;
    const steps = (tick.nowUs >>> 1) - (before.us >>> 1);
    const gone = before.phase.map((phase) => (phase + steps) % (car.top + 1));
    tick.phase.splice(0, gone.length, ...gone);
  });
  arm(car);
  ticks(car, 200);
  car.set("arm", false);
  ticks(car, 600);
  const { phase } = kept.pieces(1).at(-1)!.ticks.at(-1)!;
  const press = car.lift();
  car.set("arm", true);
  while (modeOf(car) !== "arming") car.tick();
  before = { us: car.raw.nowUs, phase };
  ticks(car, 250);
  press();
  ticks(car, 200);
  expect(modeOf(car)).toBe("flowing");
  car.set("arm", false);
  ticks(car, 600);
  expect(wrongOf(2, kept, kept.pieces(2), small)).toEqual([]);
});

describe("what a tick costs that is not as expected, at rest", () => {
  const TICKS = 1000;
  const PAGE_BITS = 8 * (LOG_PAGE.countAt - LOG_PAGE.headBytes);

  /** Bits of a run without pulses in which every tick is disturbed, in whole pages. */
  function bitsOf(disturb: (tick: Tick, n: number) => void, us = 1000): number {
    const car = standingCar(small);
    let n = 0;
    let on = false;
    const kept = new KeptRun(car.rig, (tick) => void (on && disturb(tick, n++)));
    car.engineWireCut = true;
    arm(car);
    on = true;
    ticks(car, TICKS, us);
    expect(modeOf(car)).toBe("armed");
    on = false;
    car.set("arm", false);
    ticks(car, 600);
    return PAGE_BITS * kept.pages(1).length;
  }

  const SELDOM = 16 + 32 + 16 + 16;
  const at = (list: number[], n: number, value: number): void => void list.splice(n, 1, value);

  /** A bit that says so, six that say what, and what belongs to each. */
  test.each<[string, number, (tick: Tick, n: number) => void, number?]>([
    [
      "pins alone",
      1 + 8,
      (tick, n) => {
        tick.solenoidPins ^= (n & 1) << 7;
      },
    ],
    ["a late tick", 7 + 32, () => {}, 1001],
    [
      "a switch",
      7 + SELDOM,
      (tick, n) => {
        tick.switches ^= (n & 1) << 9;
      },
    ],
    [
      "rounds of the converters",
      7 + SELDOM,
      (tick, n) => {
        tick.adcRounds += 2 * n;
      },
    ],
    ["a sensor that is not fitted", 0, (tick, n) => at(tick.adcA, 0, n)],
    ["a drain without a solenoid", 0, (tick, n) => at(tick.adcB, 7, n)],
    ["a counter of a stage that does not run", 0, (tick, n) => at(tick.phase, 2, n)],
  ])("%s: %i bits", (_, bits, disturb, us) => {
    const more = bitsOf(disturb, us) - bitsOf(() => {});
    expect(Math.abs(more - TICKS * bits)).toBeLessThanOrEqual(PAGE_BITS);
  });
});

test("a moment in which every channel shows the battery's code is replayed to the tick", () => {
  for (let turn = 0; turn < TURN_TICKS; turn++) {
    const car = standingCar(clamped);
    let pattern = false;
    const kept = new KeptRun(car.rig, (tick) => void (pattern && tick.adcA.fill(tick.adcA[BATTERY]!)));
    arm(car);
    ticks(car, 200 + turn);
    expect(modeOf(car)).toBe("flowing");
    pattern = true;
    car.tick();
    pattern = false;
    ticks(car, 200);
    expect(modeOf(car)).toBe("flowing");
    car.set("arm", false);
    ticks(car, 600);
    expect(firstOther(1, kept, kept.pieces(1), clamped), `turn ${turn}`).toBeUndefined();
  }
});
