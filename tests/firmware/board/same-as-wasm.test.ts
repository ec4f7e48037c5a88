// The native core in the released image against the WebAssembly it was made from: after every tick of a run, the whole
// memory is the same. This covers wasm2c, the runtime's operations, the compiler's flags and the hardware divider.
import { expect, test } from "vitest";
import { MODES } from "#shared-schema/model/interlocks.ts";
import type { Car } from "../../oracle/car.ts";
import type { Settings } from "../../oracle/settings.ts";
import { arm, fullSettings, smallSettings, standingCar } from "../../oracle/stand.ts";
import { NativeCore } from "../../support/native-core.ts";
import { twin } from "../../support/native-twin.ts";
import { Random } from "../../support/random.ts";

const native = new NativeCore();
const FLOWING = MODES.indexOf("flowing");

/** Drives a car about at random. Returns how many ticks it flowed. */
function drive(car: Car, random: Random, ticks: number): number {
  let flowed = 0;
  for (let i = 0; i < ticks; i++) {
    if (random.oneIn(100)) car.set("throttle", !random.oneIn(3));
    if (random.oneIn(300)) car.set("arm", !random.oneIn(2));
    car.tick(random.oneIn(50) ? random.between(1, 30_000) : 1000);
    if (car.mode === FLOWING) flowed++;
  }
  return flowed;
}

test.each<[string, () => Settings, number]>([
  ["one stage", smallSettings, 100],
  ["four stages and every optional part", fullSettings, 0],
])("%s", (_, settings, leastFlow) => {
  const differing: number[] = [];
  const car = standingCar(settings());
  twin(car.rig, native, ({ differs }) => {
    if (differs !== undefined) differing.push(differs);
  });
  arm(car);
  const flowed = drive(car, new Random(7), 1500);
  expect(differing).toEqual([]);
  expect(flowed).toBeGreaterThanOrEqual(leastFlow);
});
