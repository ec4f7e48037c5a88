// When a misread engine speed is believed again, and when not: what ends a doubt, what a silence or work in flash forgets of it.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { QUIET_PASSES } from "#shared-schema/link/messages.ts";
import { type Document, pack } from "#shared-schema/settings/pack.ts";
import type { Car } from "../../oracle/car.ts";
import { Device } from "../../oracle/device.ts";
import type { Settings } from "../../oracle/settings.ts";
import { arm, modeOf, smallSettings, standingCar, ticks } from "../../oracle/stand.ts";
import { runs } from "../../support/effort.ts";
import { eraseLog, FASTEST, misread, pulsesApart, row } from "./engine-moves.ts";
import { NONE, reason } from "./interlock-moves.ts";

/** So many even moves in a row confirm a speed. */
const ROW = 8;
/** Pulses that make those where the first has no time before it, or none that counts. */
const CONFIRMING = ROW + 2;

const JUMP = { fastestRpmPerS: FASTEST, unevennessPermille: 100 };
const watched = (halfPulses: number, jump: typeof JUMP): Settings =>
  smallSettings((s) => {
    s.engine.pulsesHalfPulses = halfPulses;
    s.engine.jump = jump;
  });

/** A car in off whose engine has just given a first pulse. Its pulses lie `usOf` apart. */
function offCar(halfPulses = 8, jump = JUMP): Car {
  return standingCar(watched(halfPulses, jump), { rpm: 0.001 });
}

/** Time between two pulses. */
const usOf = (rpm: number, halfPulses = 8): number => 120e6 / halfPulses / rpm;
const doubted = (car: Car): boolean => reason(car, "RPM-JUMP");

describe("a row of even pulses", () => {
  test.prop([fc.integer({ min: 1, max: ROW - 1 }), fc.integer({ min: 1, max: ROW - 1 })], runs(30))(
    "begins anew when a jump has broken it",
    (before, after) => {
      const car = offCar();
      pulsesApart(car, [...row(before + 2, usOf(6000)), usOf(9000), ...row(after + 1, usOf(6000))]);
      expect(doubted(car)).toBe(true);
      pulsesApart(car, row(ROW - after, usOf(6000)));
      expect(doubted(car)).toBe(false);
    },
  );

  test.prop([fc.integer({ min: 1, max: ROW - 1 }), fc.constantFrom(0.4, 0.7, 1.5, 3)], runs(30))(
    "begins anew where the first pulses after a standstill are uneven, and is whole with the speed that stays",
    (before, times) => {
      const car = offCar();
      pulsesApart(car, [...row(before + 1, usOf(3000)), ...row(ROW, usOf(3000 * times))]);
      expect(doubted(car)).toBe(true);
      pulsesApart(car, row(1, usOf(3000 * times)));
      expect(doubted(car)).toBe(false);
    },
  );

  test("is asked for anew after work in flash", () => {
    const car = offCar();
    pulsesApart(car, row(20, usOf(6000)));
    expect(doubted(car)).toBe(false);
    eraseLog(car);
    car.tick();
    expect(doubted(car)).toBe(true);
    pulsesApart(car, row(CONFIRMING - 1, usOf(6000)));
    expect(doubted(car)).toBe(true);
    pulsesApart(car, row(1, usOf(6000)));
    expect(doubted(car)).toBe(false);
  });

  test("is asked for anew after an erase, and after a page is programmed, even where no pulse was missed", () => {
    const car = offCar();
    const device = new Device(car.rig);
    const works = {
      erase: () => {
        device.ask("logErase");
        car.rig.idle();
      },
      program: () => device.store(pack(watched(8, JUMP) as unknown as Document)),
    };
    car.rig.idle(20 * QUIET_PASSES);
    for (const [name, work] of Object.entries(works)) {
      pulsesApart(car, row(20, usOf(6000)));
      expect(doubted(car), name).toBe(false);
      work();
      car.tick();
      expect(doubted(car), name).toBe(true);
    }
  });

  test.each([1000, 1001, 1002, 1003])("is asked for anew after %i ms without a pulse", (silentMs) => {
    const car = offCar();
    pulsesApart(car, row(20, usOf(6000)));
    expect(doubted(car)).toBe(false);
    while (car.raw.nowUs - car.raw.engine.edgeUs < silentMs * 1000) car.tick();
    pulsesApart(car, [car.raw.nowUs + 1000 - car.raw.engine.edgeUs, ...row(CONFIRMING - 2, usOf(6000))]);
    expect(doubted(car)).toBe(true);
    pulsesApart(car, row(1, usOf(6000)));
    expect(doubted(car)).toBe(false);
  });
});

describe("a misread speed", () => {
  const proportion = fc.constantFrom(1 / 3, 1 / 2, 2, 3);

  test.prop(
    [proportion, fc.integer({ min: 2, max: 4 }), fc.integer({ min: 4000, max: 9000 }), fc.nat({ max: 6 })],
    runs(40),
  )("is still doubted when it was right for fewer pulses than a row", (times, halfPulses, rpm, right) => {
    const car = offCar(halfPulses);
    const us = usOf(rpm, halfPulses);
    pulsesApart(car, [...row(20, us), ...row(20, us / times), ...row(right + 1, us), ...row(40, us / times)]);
    expect(doubted(car)).toBe(true);
    pulsesApart(car, row(CONFIRMING, us));
    expect(doubted(car), "it has come back for good").toBe(false);
  });

  test.prop(
    [
      fc.constantFrom([1 / 2, 2 / 3], [1 / 3, 2 / 3], [1 / 3, 3 / 4], [2, 3 / 2], [3, 3 / 2]),
      fc.integer({ min: 2, max: 4 }),
      fc.integer({ min: 4000, max: 9000 }),
    ],
    runs(40),
  )("is not right because it is misread less than before", ([first, then], halfPulses, rpm) => {
    const car = offCar(halfPulses);
    const us = usOf(rpm, halfPulses);
    pulsesApart(car, [...row(20, us), ...row(20, us / first!), ...row(40, us / then!)]);
    expect(doubted(car)).toBe(true);
  });

  test.each([0, 5, 20])(
    "is not right because it was misread and right in turns before: %i times",
    (times) => {
      const car = offCar();
      const [right, half] = [row(3, usOf(6000)), row(3, usOf(3000))];
      pulsesApart(car, row(20, usOf(6000)));
      for (let i = 0; i < times; i++) pulsesApart(car, [...half, ...right]);
      pulsesApart(car, [...half, ...row(40, usOf(4000))]);
      expect(doubted(car)).toBe(true);
    },
  );

  test.each([1, 5, 20])("is not right because no two pulses told the same before: %i times", (times) => {
    const car = offCar();
    pulsesApart(car, row(20, usOf(6000)));
    for (let i = 0; i < times; i++) pulsesApart(car, [usOf(1500), usOf(3000)]);
    pulsesApart(car, row(40, usOf(3000)));
    expect(doubted(car)).toBe(true);
  });

  test("that comes back and moves on as an engine can is doubted again when it falls to where it began", () => {
    const car = offCar(2);
    const rising = [0, 1, 2, 3, 4, 5, 6].map((n) => usOf(4000 * 2 ** (n / 6), 2));
    pulsesApart(car, [...row(20, usOf(4000, 2)), ...row(20, usOf(8000, 2)), ...rising]);
    pulsesApart(car, row(40, usOf(4000, 2)));
    expect(doubted(car)).toBe(true);
  });

  test("is right again though the engine has moved on between the last wrong pulse and the first right one", () => {
    const car = offCar(2);
    pulsesApart(car, [...row(20, usOf(4000, 2)), ...row(20, usOf(2000, 2))]);
    expect(doubted(car)).toBe(true);
    pulsesApart(car, row(CONFIRMING, usOf(4700, 2)));
    expect(doubted(car)).toBe(false);
  });

  test("keeps its proportion over work in flash, however far the engine has moved meanwhile", () => {
    const car = offCar();
    pulsesApart(car, [...row(20, usOf(6000)), ...row(20, usOf(3000))]);
    eraseLog(car);
    pulsesApart(car, row(20, usOf(1500)));
    expect(doubted(car)).toBe(true);
    pulsesApart(car, row(CONFIRMING, usOf(3000)));
    expect(doubted(car)).toBe(false);
  });

  test("is nothing to an engine that has stood, however it starts", () => {
    const car = offCar();
    pulsesApart(car, [...row(20, usOf(6000)), ...row(20, usOf(3000))]);
    expect(doubted(car)).toBe(true);
    pulsesApart(car, [1.2e6, usOf(3000), usOf(1000), ...row(CONFIRMING, usOf(3000))]);
    expect(doubted(car)).toBe(false);
  });

  test("holds off, and does not trip, when flash was written before its second pulse and the engine turns slowly", () => {
    const car = offCar(1, { fastestRpmPerS: 3000, unevennessPermille: 20 });
    car.point.rpm = 900;
    ticks(car, 3000);
    expect(doubted(car)).toBe(false);
    const { engine } = car.raw;
    misread(car, 0.5);
    const { count } = engine;
    while (engine.count === count) car.tick();
    eraseLog(car);
    arm(car);
    ticks(car, 2000);
    expect(car.trip).toBe(NONE);
    expect(modeOf(car)).toBe("armed");
    expect(doubted(car)).toBe(true);
  });

  test("of which the last came just before the engine stood does not trip when it is armed", () => {
    const car = offCar();
    pulsesApart(car, [...row(4, usOf(6000)), usOf(3000), usOf(6000)]);
    ticks(car, 1100);
    ticks(arm(car), 100);
    expect(car.trip).toBe(NONE);
  });
});
