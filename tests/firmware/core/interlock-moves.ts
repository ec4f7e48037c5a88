// What the cases of the interlocks share: settings with the parts they need, and what hold-off, trip and lockout must do.
import { expect } from "vitest";
import { OUTPUT_BITS } from "#shared-schema/model/blocks.ts";
import { INTERLOCKS, interlockNumber } from "#shared-schema/model/interlocks.ts";
import type { Car } from "../../oracle/car.ts";
import { lineOf, mvAt, type SensorName, type Settings } from "../../oracle/settings.ts";
import {
  arm,
  FED_TICKS,
  isFed,
  modeOf,
  OFF_TICKS,
  SETTLING_TICKS,
  smallSettings,
  ticks,
  ticksToFlow,
} from "../../oracle/stand.ts";
import { fullDocument } from "../../support/documents.ts";

export const NONE = 255;
/** Ticks for which nothing may have held flow off before it begins. */
export const HELD_TICKS = 20;
export const full = fullDocument() as unknown as Settings;

/** Does the core name the interlock among its reasons? */
export const reason = (car: Car, id: string): boolean => ((car.reasons >>> interlockNumber(id)) & 1) === 1;

/** Ticks in which the catalogue has the pins low, what is added to its time left out. Throws on a row without a time. */
export function catalogueTicks(id: string): number {
  const us = INTERLOCKS[interlockNumber(id)]?.withinUs;
  if (us === undefined) throw new Error(`${id} has no time`);
  return Math.max(1, Math.floor(us / 1000));
}

/** Small settings with a part of the full ones, changed. */
export function withPart(
  part: "manifold" | "bottle" | "fuel" | "lambda" | "coolant",
  change = (_: Settings): void => {},
): Settings {
  return smallSettings((s) => {
    Object.assign(s, { [part]: structuredClone(full[part]) });
    if (s.manifold) delete s.manifold.overboost;
    change(s);
  });
}

/** Puts a sensor to a value in the unit of its settings. */
export function put(car: Car, settings: Settings, name: SensorName, value: number): void {
  car.point[`${name}Mv`] = mvAt(lineOf(settings, name)!, value);
}

/** An armed car flows when its time has come, not before. */
export function expectFlow(car: Car): void {
  expect(ticksToFlow(car, FED_TICKS)).toBeGreaterThanOrEqual(SETTLING_TICKS);
}

/** Ticks until no pin is driven any more, the tick of the cause counted as the first; fails past `most`. */
export function ticksToLow(car: Car, most: number): number {
  for (let i = 1; i <= most; i++) {
    car.tick();
    if (!isFed(car)) return i;
  }
  throw new Error(`still fed after ${most} ticks`);
}

/** Flow stops within `most` ticks, for this reason alone, with nothing latched; after the cause it comes back by itself. */
export function expectHoldOff(
  car: Car,
  id: string,
  most: number,
  cause: () => void,
  remedy: () => void,
): void {
  cause();
  ticksToLow(car, most);
  expect(car.trip).toBe(NONE);
  expect(modeOf(car)).toBe("armed");
  expect(car.reasons).toBe(1 << interlockNumber(id));
  ticks(car, 300);
  expect(isFed(car)).toBe(false);
  remedy();
  expect(ticksToFlow(car, 4 * HELD_TICKS)).toBeGreaterThanOrEqual(HELD_TICKS);
}

/** All pins low within `most` ticks, the mode and the interlock named, the relay dropped. */
function expectStopped(car: Car, id: string, most: number, mode: string): void {
  for (let i = ticksToLow(car, most); i < most && modeOf(car) !== mode; i++) car.tick();
  expect(modeOf(car)).toBe(mode);
  expect(INTERLOCKS[car.trip]?.id).toBe(id);
  expect(reason(car, id)).toBe(true);
  expect(car.outputFlags & (1 << OUTPUT_BITS.keepAlive)).toBe(0);
}

/** Everything off within `most` ticks and locked: neither the remedy nor the arm switch brings flow back. */
export function expectLockout(
  car: Car,
  id: string,
  most: number,
  cause: () => void,
  remedy: () => void,
): void {
  cause();
  expectStopped(car, id, most, "locked");
  remedy();
  car.set("arm", false);
  ticks(car, 2 * OFF_TICKS);
  car.set("arm", true);
  expect(ticksToFlow(car, 1000)).toBeUndefined();
  expect(modeOf(car)).toBe("locked");
}

/** Everything off within `most` ticks and latched: the remedy alone and a short off do not clear it, 200 ms off do. */
export function expectTrip(car: Car, id: string, most: number, cause: () => void, remedy: () => void): void {
  cause();
  expectStopped(car, id, most, "tripped");
  remedy();
  expect(ticksToFlow(car, 400)).toBeUndefined();
  car.set("arm", false);
  ticks(car, OFF_TICKS - 30);
  car.set("arm", true);
  expect(ticksToFlow(car, 400)).toBeUndefined();
  expect(modeOf(car)).toBe("tripped");
  arm(car);
  expect(car.trip).toBe(NONE);
  expectFlow(car);
}
