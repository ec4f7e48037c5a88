// The speed of the line in the core's hands: which speeds it takes, and that it comes back to the first one by itself, 3 s after
// the last good frame, or half a second after a change that no frame has followed.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { REFUSALS } from "#shared-schema/link/messages.ts";
import type { Car } from "../../oracle/car.ts";
import { CoreRefused, Device } from "../../oracle/device.ts";
import { smallSettings, standingCar, ticks } from "../../oracle/stand.ts";
import { runs } from "../../support/effort.ts";

/** By docs/link.md, in ms and bits a second. */
const [PATIENCE_MS, PROOF_MS] = [3000, 500];
const [FIRST, SLOWEST, FASTEST] = [115_200, 9600, 921_600];

/** So many ms with nothing on the line but bytes that are no frame. */
function pass(car: Car, ms: number, noise: boolean): void {
  for (let i = 0; i < ms; i++) {
    car.tick();
    if (noise) car.rig.exchange(Uint8Array.of(0x55, 0));
    else car.rig.core.serve(0);
  }
}

/** The speeds that were asked of the board, from the first on. */
const speeds = (car: Car): number[] => car.rig.requests.map(({ value }) => value);

describe("the speed of the line", () => {
  test.prop(
    [fc.array(fc.integer({ min: 0, max: PATIENCE_MS - 2 }), { maxLength: 3 }), fc.boolean(), fc.boolean()],
    runs(30),
  )(
    "comes back 3 s after the last good frame at it, and after 0.5 s without any",
    (pauses, noise, refused) => {
      const car = standingCar(smallSettings());
      ticks(car, 5);
      const device = new Device(car.rig);
      device.ask("baud", { baud: FASTEST });
      pauses.forEach((pause, n) => {
        pass(car, n === 0 ? Math.min(pause, PROOF_MS - 2) : pause, noise);
        if (refused) expect(() => device.ask("writeCommit", { id: 0, boardNumber: 0 })).toThrow(CoreRefused);
        else device.ask("status");
      });
      const patience = pauses.length === 0 ? PROOF_MS : PATIENCE_MS;
      pass(car, patience - 1, noise);
      expect(speeds(car), "before its time").toEqual([FASTEST]);
      pass(car, 1, noise);
      expect(speeds(car), "at its time").toEqual([FASTEST, FIRST]);
      pass(car, 2 * PATIENCE_MS, noise);
      expect(speeds(car), "once").toEqual([FASTEST, FIRST]);
    },
  );

  test.each([false, true])(
    "stays alone while nobody asks for another, with noise on the line: %s",
    (noise) => {
      const car = standingCar(smallSettings());
      pass(car, 2 * PATIENCE_MS, noise);
      expect(speeds(car)).toEqual([]);
    },
  );

  test.each([
    [SLOWEST, true],
    [SLOWEST - 1, false],
    [FASTEST, true],
    [FASTEST + 1, false],
    [0, false],
    [2 ** 32 - 1, false],
  ])("%i bits a second are taken: %s", (baud, taken) => {
    const car = standingCar(smallSettings());
    const device = new Device(car.rig);
    if (taken) expect(device.ask("baud", { baud }).values.baud).toBe(baud);
    else expect(() => device.ask("baud", { baud })).toThrow(`"reason":${REFUSALS.badValue}`);
    expect(speeds(car)).toEqual(taken ? [baud] : []);
  });
});
