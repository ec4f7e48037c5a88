// What the tests of an engine's speed share: pulses at told times, speeds that an engine can come to, and misreadings.
import { QUIET_PASSES } from "#shared-schema/link/messages.ts";
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";
import type { Car } from "../../oracle/car.ts";
import { Device } from "../../oracle/device.ts";

/** What the settings of these tests let an engine gain, rpm a second. */
export const FASTEST = 30_000;

export const tripOf = (car: Car): string | undefined => INTERLOCKS[car.trip]?.id;

/** From the last pulse on, pulses lie as far apart as told, and nothing else comes; until a trip, or the last of them. */
export function pulsesApart(car: Car, apartUs: readonly number[]): void {
  car.engineWireCut = true;
  let at = car.raw.engine.edgeUs;
  for (const us of apartUs) {
    at += us;
    while (at > car.raw.nowUs + 1000) car.tick();
    if (tripOf(car) !== undefined) return;
    car.spuriousPulse(Math.round(at));
  }
  car.tick();
}

/** What an engine does in a second at most, in steps of a tick. */
export function bringTo(car: Car, rpm: number): void {
  const step = (0.8 * FASTEST) / 1000;
  while (car.point.rpm !== rpm) {
    const off = rpm - car.point.rpm;
    car.point.rpm = Math.abs(off) <= step ? rpm : car.point.rpm + Math.sign(off) * step;
    car.tick();
  }
}

/** From a pulse on, as closely as ticks allow, so many times as many pulses come. */
export function misread(car: Car, times: number): void {
  const fresh = (): boolean => car.raw.nowUs - car.raw.engine.edgeUs < car.raw.engine.periodUs / 20;
  for (let i = 0; i < 5000 && !fresh(); i++) car.tick();
  car.point.rpm *= times;
}

/** Some pieces of work in flash, as passes of the main loop do in off: interrupts are off meanwhile, and pulses are missed. */
export function eraseLog(car: Car): void {
  new Device(car.rig).ask("logErase");
  for (let i = 0; i < 3 * QUIET_PASSES; i++) car.rig.core.serve(0);
  car.missPulses();
}

/** The same number so many times. */
export const row = (count: number, us: number): number[] => new Array<number>(count).fill(us);
