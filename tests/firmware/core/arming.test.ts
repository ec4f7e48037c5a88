// The self-test at arming, step by step: what the supply behind the relay and the drains must show, and how long each may take.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { OUTPUT_BITS, SUPPLY_MV_PER_CODE } from "#shared-schema/model/blocks.ts";
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
  follows: readonly [number, number, number];
  /** Drain of the first solenoid in the ticks since the relay closed first; undefined is as it must be. */
  drainMv: (ticksSinceClosed: number) => number | undefined;
}

const SOUND: Relay = { open: 0, closed: 2400, follows: [10, 10, 10], drainMv: () => undefined };

const heldRelay = (car: Car): boolean => (car.outputFlags & (1 << OUTPUT_BITS.keepAlive)) !== 0;

/** Arms with such a relay; ticks in the mode arming, and the mode after it. */
function armWith(change: Partial<Relay>, batteryMv = 12_000): { car: Car; took: number; held: string } {
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
  let before = heldRelay(car);
  let held = "";
  let took = 1;
  for (; modeOf(car) === "arming" && took < 1000; took++) {
    const now = heldRelay(car);
    if (now !== before) [commands, since, held] = [commands + 1, 0, held + (now ? "1" : "0")];
    before = now;
    const answered = commands > 0 && ++since >= relay.follows[commands - 1]!;
    const closed = answered ? now : commands > 0 && !now;
    car.stuckCodes.set(SUPPLY, closed ? relay.closed : relay.open);
    const drainMv = relay.drainMv(closed && commands === 1 ? ++closedFor : 0) ?? 12_000;
    for (const n of [0, 1]) car.wiring.stuckDrainsMv.set(n, drainMv);
    car.tick();
  }
  return { car, took, held };
}

function expectLocked(car: Car, id: string, value: number): void {
  expect(modeOf(car)).toBe("locked");
  expect(INTERLOCKS[car.trip]?.id).toBe(id);
  expect(car.rig.live.get("tripValue")).toBe(value);
  expect(heldRelay(car)).toBe(false);
}

const delay = fc.integer({ min: 1, max: FOLLOW_TICKS });

describe("arming", () => {
  test.prop([delay, delay, delay], runs(60))(
    "takes as long as the relay follows, and the looks between",
    (...follows) => {
      const { car, took, held } = armWith({ follows });
      expect(modeOf(car)).toBe("armed");
      expect(held).toBe("101");
      expect(took).toBe(FIRST_TICKS + follows[0] + SETTLE_TICKS + follows[1] + follows[2] + SETTLE_TICKS);
      expect(car.trip).toBe(255);
    },
  );

  test.each([0, 1, 2])("locks when the relay follows a tick too late, at move %i", (move) => {
    const follows = [1, 1, 1].map((_, i) => (i === move ? FOLLOW_TICKS + 1 : 1)) as [number, number, number];
    expectLocked(armWith({ follows }).car, "KEEP-ALIVE", [1, 3, 4][move]!);
  });

  test("an open relay passes less than two volts, no more", () => {
    expect(modeOf(armWith({ open: NO_SUPPLY - 1 }).car)).toBe("armed");
    const { car, took } = armWith({ open: NO_SUPPLY });
    expectLocked(car, "RELAY", 2000);
    expect(took).toBe(FIRST_TICKS);
  });

  test("a relay that opens no more after its first closing is found", () => {
    expectLocked(armWith({ follows: [10, 1000, 10] }).car, "KEEP-ALIVE", 3);
  });

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
