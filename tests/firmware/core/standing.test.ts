// A shaft that stands and turns again: after a second without a pulse two fresh ones are needed before a speed is believed.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import type { Car } from "../../oracle/car.ts";
import { smallSettings, standingCar, TURN_TICKS, ticks } from "../../oracle/stand.ts";

const STILL_MS = 1000;
const PERIOD_MS = 10;
/** Two pulses a turn. */
const RPM = 30_000 / PERIOD_MS;

/** A car whose engine has turned, stood for so long, and has given nothing since. */
function stoodFor(ms: number): Car {
  const car = standingCar(smallSettings(), { rpm: RPM });
  ticks(car, 500);
  car.engineWireCut = true;
  while (car.raw.nowUs - car.raw.engine.edgeUs < ms * 1000) car.tick();
  return car;
}

/** A pulse now; the speed that is shown until the next round of turns is over. */
function pulse(car: Car, count = 1): number {
  for (let i = 0; i < count; i++) {
    ticks(car, PERIOD_MS - TURN_TICKS);
    car.spuriousPulse(car.raw.nowUs + 1000);
    ticks(car, TURN_TICKS);
  }
  return car.rig.live.get("engineRpm");
}

describe("an engine", () => {
  test("that stands for a second has no speed, whatever the time since its last pulse would make", () => {
    const car = stoodFor(STILL_MS + 4);
    expect(pulse(car)).toBe(0);
    expect(pulse(car)).toBeGreaterThan(0.9 * RPM);
  });

  test("that stood for less goes on with the next pulse", () => {
    const car = stoodFor(STILL_MS - 50);
    const afterOne = pulse(car);
    expect(afterOne).toBeGreaterThan(0);
    expect(afterOne).toBeLessThan(60_000 / 2 / (STILL_MS - 60));
    expect(pulse(car)).toBeGreaterThan(0.9 * RPM);
  });

  test("just started needs two pulses", () => {
    const car = standingCar(smallSettings(), { rpm: 0 });
    ticks(car, 50);
    expect(pulse(car)).toBe(0);
    expect(pulse(car)).toBeGreaterThan(0.9 * RPM);
  });

  test("whose pulses were missed has no speed until two more have come", () => {
    const car = standingCar(smallSettings(), { rpm: RPM });
    ticks(car, 500);
    car.engineWireCut = true;
    car.missPulses();
    ticks(car, 2 * TURN_TICKS);
    expect(car.rig.live.get("engineRpm")).toBe(0);
    expect(pulse(car)).toBe(0);
    expect(pulse(car)).toBeGreaterThan(0.9 * RPM);
  });

  test.prop([fc.integer({ min: 2, max: 20 })], { numRuns: 19 })(
    "that has turned slower and slower is shown no faster than its silence allows",
    (times) => {
      const car = standingCar(smallSettings(), { rpm: RPM });
      ticks(car, 500);
      car.engineWireCut = true;
      ticks(car, times * PERIOD_MS);
      const silentMs = (car.raw.nowUs - car.raw.engine.edgeUs) / 1000;
      const shown = car.rig.live.get("engineRpm");
      expect(shown).toBeLessThanOrEqual(30_000 / (silentMs - TURN_TICKS));
      expect(shown).toBeGreaterThanOrEqual(Math.floor(30_000 / silentMs) - 1);
    },
  );
});
