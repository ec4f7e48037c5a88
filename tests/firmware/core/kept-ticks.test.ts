// What the core keeps between ticks, natively: the same memory as the module has, within the time that the board's loop leaves for it.
import { expect, test } from "vitest";
import type { CoreRig } from "#host/bench/core/rig.ts";
import { CORE_MEMORY_BYTES } from "#shared-schema/model/blocks.ts";
import { heavyCar, heavySettings, launchHeavy, USUAL_PULSES } from "../../bench/heavy-car.ts";
import { ALL } from "../../support/effort.ts";
import { NativeCore } from "../../support/native-core.ts";
import { noisyCodes } from "../../support/noisy-codes.ts";
import { Random } from "../../support/random.ts";

/** Cycles at 125 MHz: a tick, its inputs and an answer take up to 850 us of 1000 in the worst case; then these may. */
const USUAL_MOST = 12_500;
/** When a piece begins nothing else is done: no answer of up to 700 us. */
const BEGIN_MOST = 87_500;
/** All shares of so long are part of the state that a piece begins with. */
const LONGEST_LEAD_MS = 500;
const EVERY = ALL ? 3 : 31;

/** Lets some of what a rig keeps be kept natively too. */
function twin(rig: CoreRig, native: NativeCore, seen: (cycles: number, begun: boolean) => void): void {
  const { core } = rig;
  const wasm = new Uint8Array(core.memory.buffer, 0, CORE_MEMORY_BYTES);
  let [n, on] = [0, false];
  const before = new Uint8Array(CORE_MEMORY_BYTES);
  const keepTick = (): number => {
    before.set(wasm);
    const begun = core.keepTick();
    on ||= begun === 1;
    if (begun || (on && n++ % EVERY === 0)) {
      native.memory.set(before);
      const cycles = native.call("w2c_core_keepTick", 0);
      expect(Buffer.compare(native.memory, wasm)).toBe(0);
      seen(cycles, begun === 1);
    }
    return begun;
  };
  Object.assign(rig, { core: { ...core, keepTick } });
}

test("every kind of tick is kept in time, and a piece is begun in time", () => {
  const native = new NativeCore();
  const usual: number[] = [];
  const begins: number[] = [];
  const settings = heavySettings(USUAL_PULSES);
  settings.retard!.leadMs = LONGEST_LEAD_MS;
  const car = heavyCar(settings, ({ rig }) => {
    rig.keepsTicks = true;
    noisyCodes(rig, 2, new Random(1));
    twin(rig, native, (cycles, begun) => {
      if (begun) begins.push(cycles);
      else usual.push(cycles);
    });
  });
  launchHeavy(car, 8 * LONGEST_LEAD_MS);
  for (let i = 0; i < 4000; i++) car.tick();
  usual.sort((a, b) => a - b);
  process.stdout.write(
    `cycles to keep a tick: median ${usual[usual.length >> 1]}, worst ${usual.at(-1)}; to begin a piece: ${begins.join(", ")}\n`,
  );
  expect(begins.length).toBeGreaterThan(1);
  expect(Math.max(...begins)).toBeLessThan(BEGIN_MOST);
  expect(usual.at(-1)).toBeLessThan(USUAL_MOST);
}, 60_000);
