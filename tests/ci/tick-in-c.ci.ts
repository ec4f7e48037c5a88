// The tick in C, which the core's cycles are compared with, says what the core says, in a chip whose core still runs beside it.
import { expect, test } from "vitest";
import { pack } from "#shared-schema/settings/pack.ts";
import { heavyCar, heavySettings, launchHeavy, USUAL_PULSES } from "../bench/heavy-car.ts";
import { buildTickC } from "../bench/tick-c/build.ts";
import { firstOther, record } from "../bench/tick-c/rides.ts";
import { TickC, twinInC } from "../bench/tick-c/twin.ts";
import { Counts } from "../oracle/run.ts";
import { coreOn, freshCore } from "../support/core.ts";
import { NativeCore } from "../support/native-core.ts";
import { twin } from "../support/native-twin.ts";
import { WipedFlash } from "../support/wiped-flash.ts";

const settings = heavySettings(USUAL_PULSES);

test("core and C say the same in every tick of a launch with everything fitted, one after the other in one chip", () => {
  const native = new NativeCore();
  const c = new TickC(native, buildTickC(), pack(settings as unknown as Parameters<typeof pack>[0]));
  const differences = new Set<unknown>();
  let both = 0;
  launchHeavy(
    heavyCar(settings, ({ rig }) => {
      twin(rig, native, ({ differs }) => differences.add(differs));
      twinInC(rig, c, ({ differs }) => {
        both++;
        differences.add(differs);
      });
    }),
  );
  expect(both).toBeGreaterThan(1500);
  expect([...differences]).toEqual([undefined]);
}, 60_000);

/** Rides with settings, faults and chaos of their own, one aimed at each row of the catalogue and more. */
const RIDES = 240;
const TICKS = 1500;
const LEAST_FLOWING = 0.2;

test("core and C say the same in every tick of random rides, and a core that is held against what C said does so too", () => {
  const native = new NativeCore();
  const elf = buildTickC();
  const counts = new Counts();
  const flash = new WipedFlash();
  for (let seed = 1; seed <= RIDES; seed++) {
    const ride = record(coreOn(flash.wipe()), native, elf, { seed, ticks: TICKS, counts });
    expect(ride.differs).toBeUndefined();
    if (seed % 10 === 0) expect(firstOther(freshCore(), ride)).toBeUndefined();
  }
  process.stdout.write(`rides of core and C: ${counts.text}\n`);
  expect(counts.flowed).toBeGreaterThan(LEAST_FLOWING * counts.ticks);
}, 600_000);
