// The look at each clamp when its coil is switched off: what it finds, after how many pulses, after which it does not look, and that a sound one is never accused.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";
import type { Car } from "../../oracle/car.ts";
import type { Settings } from "../../oracle/settings.ts";
import { arm, modeOf, smallSettings, standingCar, ticks, ticksToFlow } from "../../oracle/stand.ts";

const KICK_MV = 18_500;
/** Switchings off in a row without a kick that lock out; what one of them weighs against one with a kick. */
const MISSES = 4;
const OUTWEIGHS = 16;
/** Longer pulses are looked at, ms; those of up to one tick more are not, in some phases. */
const LOOKED_MS = 6;

function watched(change = (_: Settings): void => {}): Settings {
  return smallSettings((s) => {
    s.clamps = { kickMv: KICK_MV };
    change(s);
  });
}

function flowing(settings: Settings, forTicks = 100): Car {
  const car = arm(standingCar(settings));
  expect(ticksToFlow(car, 200)).toBeGreaterThan(0);
  ticks(car, forTicks);
  return car;
}

/** How often a pin fell until it locked; undefined when it did not within `most` ticks. */
function fallsToLock(car: Car, pin: number, most: number): number | undefined {
  let falls = 0;
  let before = 0;
  for (let i = 0; i < most; i++) {
    car.tick();
    const level = (car.wiring.pins >> pin) & 1;
    if (before && !level) falls++;
    before = level;
    if (modeOf(car) === "locked") return falls;
  }
  return undefined;
}

function expectClamp(car: Car, pin: number): void {
  expect(INTERLOCKS[car.trip]?.id).toBe("CLAMP");
  expect(car.rig.live.get("tripValue")).toBe(pin + 1);
}

describe("a coil that does not kick", () => {
  test.each([0, 1])("at pin %i locks out with the fourth pulse, and is named", (pin) => {
    const car = flowing(watched());
    car.wiring.kickless = 1 << pin;
    expect(fallsToLock(car, pin, 500)).toBe(MISSES);
    expectClamp(car, pin);
  });

  test("is left alone where no clamp is watched: a lamp may stand in for the coil", () => {
    const car = flowing(smallSettings());
    car.wiring.kickless = 0xff;
    ticks(car, 1000);
    expect(modeOf(car)).toBe("flowing");
  });

  test("adds up when one pulse in sixteen misses, and not when fewer do", () => {
    const each = (good: number, rounds: number): Car => {
      const car = flowing(watched());
      const falls = (count: number, kickless: number): void => {
        car.wiring.kickless = kickless;
        for (let fell = 0, before = 0; fell < count && modeOf(car) === "flowing"; ) {
          car.tick();
          const level = car.wiring.pins & 1;
          if (before && !level) fell++;
          before = level;
        }
        ticks(car, 3);
      };
      for (let n = 0; n < rounds && modeOf(car) === "flowing"; n++) {
        falls(1, 1);
        falls(good, 0);
      }
      return car;
    };
    expect(modeOf(each(OUTWEIGHS, 5))).toBe("flowing");
    expect(modeOf(each(OUTWEIGHS / 4, 5))).toBe("locked");
  });

  test("is doubted over pauses: a stage that is wide open ends once in each burst", () => {
    const car = flowing(
      watched((s) => {
        s.stages[0]!.ramps[0]!.points = [
          [0, 1000],
          [1, 1000],
        ];
      }),
    );
    car.wiring.kickless = 1;
    let bursts = 0;
    while (modeOf(car) !== "locked" && bursts < 10) {
      bursts++;
      car.set("throttle", false);
      ticks(car, 40);
      car.set("throttle", true);
      ticks(car, 150);
    }
    expectClamp(car, 0);
    expect(bursts).toBeLessThanOrEqual(MISSES);
  });
});

test("a drain at the limit has kicked, one code under it has not", () => {
  for (const [mv, locks] of [
    [KICK_MV, false],
    [KICK_MV - 5, true],
  ] as const) {
    const car = flowing(watched());
    const pass = car.wiring.pass.bind(car.wiring);
    car.wiring.pass = (us, keepAlive, batteryMv, levels) => {
      pass(us, keepAlive, batteryMv, levels);
      if ((levels & 1) === 0) car.wiring.drainsMv[0] = mv;
    };
    ticks(car, 400);
    expect(modeOf(car)).toBe(locks ? "locked" : "flowing");
  }
});

/** Every coil kicks, but only in the tick of such a number after its pin fell. */
function kicksOnlyIn(car: Car, tick: number): void {
  const { wiring } = car;
  const pass = wiring.pass.bind(wiring);
  const since = new Array<number>(8).fill(0);
  wiring.pass = (us, keepAlive, batteryMv, levels) => {
    const fell = wiring.pins & ~levels;
    pass(us, keepAlive, batteryMv, levels);
    for (const n of [0, 1]) {
      since[n] = (fell >> n) & 1 ? 1 : since[n]! + 1;
      if (((levels >> n) & 1) === 0) wiring.drainsMv[n] = since[n] === tick ? KICK_MV : wiring.supplyMv;
    }
  };
}

test.each([
  [1, "flowing"],
  [2, "flowing"],
  [3, "locked"],
] as const)("a kick that only tick %i after the fall shows: %s", (tick, mode) => {
  const car = flowing(watched());
  kicksOnlyIn(car, tick);
  ticks(car, 600);
  expect(modeOf(car)).toBe(mode);
});

describe("nothing is judged", () => {
  const kickless = (car: Car, before: (car: Car) => void, us = 1000): string => {
    car.wiring.kickless = 0xff;
    for (let i = 0; i < 600; i++) {
      before(car);
      car.tick(us);
    }
    return modeOf(car);
  };

  test("with less than 10 V behind the relay, where a kick may be short", () => {
    const settings = watched((s) => {
      s.battery.lowestMv = 8000;
    });
    const weak = (mv: number) => (car: Car) => {
      car.point.batteryMv = mv;
    };
    expect(kickless(flowing(settings), weak(9_995))).toBe("flowing");
    expect(kickless(flowing(settings), weak(10_000))).toBe("locked");
  });

  test("in ticks that come late, by which a kick may be over", () => {
    expect(kickless(flowing(watched()), () => {}, 1_100)).toBe("flowing");
    expect(kickless(flowing(watched()), () => {}, 1_099)).toBe("locked");
  });
});

/** Longest and shortest pulse of a pin over the next ticks, in ticks seen high. */
function pulsesOf(car: Car, pin: number, count: number): number[] {
  const lengths: number[] = [];
  let high = 0;
  for (let i = 0; i < count; i++) {
    car.tick();
    if ((car.wiring.pins >> pin) & 1) high++;
    else {
      if (high > 0) lengths.push(high);
      high = 0;
    }
  }
  return lengths.slice(1);
}

/** Slowest opening of the example's valves; and how much of a second, in microseconds, they may open and close. */
const OPENING_US = 14_000;
const MOST_MOVING = 800_000;

test.prop(
  [
    fc.integer({ min: 10, max: 40 }),
    fc.integer({ min: 100, max: 900 }),
    fc.integer({ min: 10_500, max: 15_500 }),
    fc.integer({ min: 4_000, max: 12_000 }),
    fc.integer({ min: 0, max: 3 }),
  ],
  { numRuns: 12 },
)(
  "whatever pulse, supply and closing time: who kicks is never accused, who does not is as soon as its pulses are long enough",
  (frequencyHz, permille, batteryMv, closingUs, kickless) => {
    fc.pre((OPENING_US + closingUs) * frequencyHz < MOST_MOVING);
    const settings = smallSettings((s) => {
      s.clamps = { kickMv: KICK_MV };
      s.flow.frequencyHz = frequencyHz;
      s.stages[0]!.nitrousSolenoid.closingUs = closingUs;
      s.stages[0]!.fuelSolenoid!.closingUs = closingUs;
      s.stages[0]!.ramps[0]!.points = [
        [0, permille],
        [1, permille],
      ];
    });
    const car = arm(standingCar(settings, { batteryMv }));
    fc.pre(ticksToFlow(car, 300) !== undefined);
    ticks(car, 100);
    const lengths = [0, 1].map((pin) => pulsesOf(car, pin, 400));
    expect(modeOf(car)).toBe("flowing");
    car.wiring.kickless = kickless;
    const surely = [0, 1].filter(
      (pin) =>
        (kickless >> pin) & 1 && lengths[pin]!.length >= 6 && Math.min(...lengths[pin]!) > LOOKED_MS + 1,
    );
    const maybe = [0, 1].filter((pin) => (kickless >> pin) & 1 && Math.max(...lengths[pin]!) > LOOKED_MS);
    ticks(car, 600);
    if (surely.length > 0) expect(modeOf(car)).toBe("locked");
    if (maybe.length === 0) expect(modeOf(car)).toBe("flowing");
    if (modeOf(car) === "locked") expect(maybe).toContain((car.rig.live.get("tripValue") as number) - 1);
  },
);
