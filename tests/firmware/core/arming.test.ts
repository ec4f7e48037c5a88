// The self-test at arming, step by step: what the supply behind the relay and the drains must show, and how long each may take.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { OUTPUT_BITS, PWM_STEP_US, SUPPLY_MV_PER_CODE, TRY_US } from "#shared-schema/model/blocks.ts";
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";
import { ADC_A } from "#shared-schema/model/pins.ts";
import type { Car } from "../../oracle/car.ts";
import { modeOf, OFF_TICKS, smallSettings, standingCar, ticks } from "../../oracle/stand.ts";
import { runs } from "../../support/effort.ts";

const SUPPLY = ADC_A.indexOf("driverSupply");
const STEADY_TICKS = 5;
const FIRST_TICKS = 3;
const SETTLE_TICKS = 6;
/** The relay has 60 ms; what it did in them shows a tick later. */
const FOLLOW_TICKS = 61;
/** No supply below this; with the relay closed more than this, and than half the battery's. */
const NO_SUPPLY = 2000 / SUPPLY_MV_PER_CODE;
const HALF_BATTERY = 6000 / SUPPLY_MV_PER_CODE;

/** Codes of the supply channel with the relay open and closed, and ticks from each command to the supply's answer. */
interface Relay {
  open: number;
  closed: number;
  follows: readonly [number, number, number, number, number];
  /** Ticks after each closing in which the contact bounces: no supply for one tick. */
  gapAfter?: number;
  /** Drain of the first solenoid in the ticks since the relay closed first; undefined is as it must be. */
  drainMv: (ticksSinceClosed: number) => number | undefined;
  /** Drain of a solenoid whose driver is being tried; undefined is as it must be. Told the pulses of all pins. */
  triedMv: (channel: number, pins: readonly number[]) => number | undefined;
}

/** Each of the two drivers has its try, four ticks after what was before; the end comes as late after the last. */
const TRY_TICKS = 4 * (2 + 1);

const SOUND: Relay = {
  open: 0,
  closed: 2400,
  follows: [10, 10, 10, 10, 10],
  drainMv: () => undefined,
  triedMv: () => undefined,
};

/** `held`: 1 for each time that the keep-alive began, 0 for each time that it stopped; at which levels it stopped. */
interface Armed {
  readonly car: Car;
  readonly took: number;
  readonly held: string;
  readonly stoppedAt: readonly string[];
}

const HIGH = 1 << OUTPUT_BITS.keepAliveHigh;
const heldRelay = (car: Car): boolean => (car.outputFlags & (1 << OUTPUT_BITS.keepAlive)) !== 0;

/** Arms with such a relay; ticks in the mode arming, and the mode after it. */
function armWith(change: Partial<Relay>, batteryMv = 12_000): Armed {
  const relay = { ...SOUND, ...change };
  const car = standingCar(smallSettings(), { batteryMv });
  car.stuckCodes.set(SUPPLY, relay.open);
  ticks(car, OFF_TICKS);
  car.set("arm", true);
  ticks(car, STEADY_TICKS);
  expect(modeOf(car)).toBe("off");
  car.tick();
  expect(modeOf(car)).toBe("arming");
  let commands = 0;
  let since = 0;
  let closedFor = 0;
  let closedTicks = 0;
  let before = heldRelay(car);
  let held = "";
  const stoppedAt: string[] = [];
  let took = 1;
  for (; modeOf(car) === "arming" && took < 1000; took++) {
    const now = heldRelay(car);
    if (now !== before) [commands, since, held] = [commands + 1, 0, held + (now ? "1" : "0")];
    if (before && !now) stoppedAt.push(car.outputFlags & HIGH ? "high" : "low");
    before = now;
    const answered = commands > 0 && ++since >= relay.follows[commands - 1]!;
    const closed = answered ? now : commands > 0 && !now;
    closedTicks = closed ? closedTicks + 1 : 0;
    const bounces = closed && closedTicks - 1 === relay.gapAfter;
    car.stuckCodes.set(SUPPLY, closed && !bounces ? relay.closed : relay.open);
    const drainMv = relay.drainMv(closed && commands === 1 ? ++closedFor : 0) ?? 12_000;
    for (const n of [0, 1])
      car.wiring.stuckDrainsMv.set(n, car.pin(n) > 0 ? (relay.triedMv(n, car.pins()) ?? 100) : drainMv);
    car.tick();
  }
  return { car, took, held, stoppedAt };
}

function expectLocked(car: Car, id: string, value: number): void {
  expect(modeOf(car)).toBe("locked");
  expect(INTERLOCKS[car.trip]?.id).toBe(id);
  expect(car.rig.live.get("tripValue")).toBe(value);
  expect(heldRelay(car)).toBe(false);
}

const delay = fc.integer({ min: 1, max: FOLLOW_TICKS });

describe("arming", () => {
  test.prop([delay, delay, delay, delay, delay], runs(60))(
    "takes as long as the relay follows, and the looks between",
    (...follows) => {
      const { car, took, held } = armWith({ follows });
      expect(modeOf(car)).toBe("armed");
      expect(held).toBe("10101");
      // What an opening contact shows counts from the settling on.
      const following = follows.reduce(
        (sum, each, move) => sum + (move % 2 ? Math.max(each, SETTLE_TICKS) : each),
        0,
      );
      expect(took).toBe(FIRST_TICKS + SETTLE_TICKS + following + SETTLE_TICKS + TRY_TICKS);
      expect(car.trip).toBe(255);
    },
  );

  test.each([0, 1, 2, 3, 4])("locks when the relay follows a tick too late, at move %i", (move) => {
    const late = (at: number): number => (at === move ? FOLLOW_TICKS + 1 : 1);
    const follows = [late(0), late(1), late(2), late(3), late(4)] as const;
    expectLocked(armWith({ follows }).car, "KEEP-ALIVE", [1, 3, 4, 5, 6][move]!);
  });

  test("the edges stop once with the pin low and once with it high", () => {
    const { stoppedAt } = armWith({});
    expect(stoppedAt).toEqual(["low", "high"]);
  });

  test("an open relay passes less than two volts, no more", () => {
    expect(modeOf(armWith({ open: NO_SUPPLY - 1 }).car)).toBe("armed");
    const { car, took } = armWith({ open: NO_SUPPLY });
    expectLocked(car, "RELAY", 2000);
    expect(took).toBe(FIRST_TICKS);
  });

  test("a relay that opens no more after its first closing is found", () => {
    expectLocked(armWith({ follows: [10, 1000, 10, 10, 10] }).car, "KEEP-ALIVE", 3);
  });

  test.each([1, 2, 3, 4, 5])(
    "a contact that bounces %i ms after it closed is no pump that has let go",
    (gapAfter) => {
      expect(modeOf(armWith({ gapAfter }).car)).toBe("armed");
      expectLocked(armWith({ gapAfter, follows: [10, 1000, 10, 10, 10] }).car, "KEEP-ALIVE", 3);
      expectLocked(armWith({ gapAfter, follows: [10, 10, 10, 1000, 10] }).car, "KEEP-ALIVE", 5);
    },
  );

  test.each([
    [12_000, HALF_BATTERY, "locked"],
    [12_000, HALF_BATTERY + 1, "armed"],
    [3000, NO_SUPPLY, "locked"],
    [3000, NO_SUPPLY + 1, "armed"],
  ] as const)(
    "a battery of %i mV and a supply of code %i behind the closed relay: %s",
    (batteryMv, closed, mode) => {
      expect(modeOf(armWith({ closed }, batteryMv).car)).toBe(mode);
    },
  );

  test("drains are looked at when they have settled, not before", () => {
    const until = (last: number): Partial<Relay> => ({ drainMv: (since) => (since <= last ? 0 : undefined) });
    expect(modeOf(armWith(until(SETTLE_TICKS)).car)).toBe("armed");
    expectLocked(armWith(until(SETTLE_TICKS + 1)).car, "DRIVER", 257);
  });
});

describe("what a drain shows at rest", () => {
  /** Below 1.2 V a driver conducts unasked; up to 4.5 V no load pulls its drain up. */
  test.each([
    [1195, "DRIVER", 257],
    [1200, "DRIVER", 258],
    [4495, "DRIVER", 258],
  ] as const)("%i mV is %s %i", (mv, id, value) => {
    expectLocked(armWith({ drainMv: () => mv }).car, id, value);
  });

  test("4500 mV is a load", () => {
    expect(modeOf(armWith({ drainMv: () => 4500 }).car)).toBe("armed");
  });
});

describe("each driver conducts once", () => {
  /** Pulses of all pins in each tick with any. */
  function triesWith(drainMv: (channel: number, nth: number) => number | undefined) {
    const tries: { channel: number; pins: readonly number[] }[] = [];
    const seen = (channel: number, pins: readonly number[]): number | undefined => {
      tries.push({ channel, pins: [...pins] });
      return drainMv(channel, tries.filter((each) => each.channel === channel).length);
    };
    return { ...armWith({ triedMv: seen }), tries };
  }

  test("one pin at a time, half a millisecond, nitrous and fuel in turn", () => {
    const { car, tries } = triesWith(() => undefined);
    expect(modeOf(car)).toBe("armed");
    expect(tries.map(({ channel }) => channel)).toEqual([0, 1]);
    for (const { channel, pins } of tries)
      expect(pins).toEqual(pins.map((_, n) => (n === channel ? TRY_US / PWM_STEP_US : 0)));
  });

  test.each([0, 1])("driver %i that does not conduct in three tries locks out", (channel) => {
    const { car, tries } = triesWith((n) => (n === channel ? 12_000 : undefined));
    expectLocked(car, "DRIVER", (channel + 1) * 256 + 3);
    expect(tries.filter((each) => each.channel === channel).length).toBe(3);
  });

  test("two failures and a success are enough; half the supply is not low", () => {
    expect(modeOf(triesWith((_, nth) => (nth < 3 ? 12_000 : undefined)).car)).toBe("armed");
    expect(modeOf(triesWith(() => 5_995).car)).toBe("armed");
    expect(modeOf(triesWith(() => 6_000).car)).toBe("locked");
  });
});
