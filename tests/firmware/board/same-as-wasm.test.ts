// The native core in the released image against the WebAssembly it was made from: after every tick of a run, the whole
// memory is the same. This covers wasm2c, the runtime's operations, the compiler's flags and the hardware divider.
import { expect, test } from "vitest";
import { Plant } from "#host/bench/core/plant.ts";
import type { CoreRig } from "#host/bench/core/rig.ts";
import { CORE_MEMORY_BYTES } from "#shared-schema/blocks.ts";
import { MODES } from "#shared-schema/interlocks.ts";
import type { Car } from "../../oracle/car.ts";
import type { Settings } from "../../oracle/settings.ts";
import { arm, fullSettings, smallSettings, standingCar } from "../../oracle/stand.ts";
import { NativeCore } from "../../support/native-core.ts";
import { Random } from "../../support/random.ts";

const native = new NativeCore();
const FLOWING = MODES.indexOf("flowing");

/** Lets every tick of the rig run natively too, from the same memory. `seen` gets the first address that differs. */
function twin(rig: CoreRig, seen: (address: number) => void): void {
  const { core } = rig;
  const wasm = new Uint8Array(core.memory.buffer, 0, CORE_MEMORY_BYTES);
  const tick = (nowUs: number): void => {
    native.memory.set(wasm);
    native.call("w2c_core_tick", nowUs);
    core.tick(nowUs);
    if (Buffer.compare(native.memory, wasm) !== 0)
      seen(wasm.findIndex((byte, i) => byte !== native.memory[i]));
  };
  Object.assign(rig, { core: { ...core, tick } });
}

/** Gives the rig a plant that follows its outputs before each tick. */
function addPlant(rig: CoreRig): void {
  const plant = new Plant(rig);
  const { core } = rig;
  const tick = (nowUs: number): void => {
    plant.step();
    core.tick(nowUs);
  };
  Object.assign(rig, { core: { ...core, tick } });
}

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
  twin(car.rig, (address) => differing.push(address));
  addPlant(car.rig);
  arm(car);
  const flowed = drive(car, new Random(7), 1500);
  expect(differing).toEqual([]);
  expect(flowed).toBeGreaterThanOrEqual(leastFlow);
});
