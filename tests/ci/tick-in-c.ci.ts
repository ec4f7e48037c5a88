// The tick in C, which the core's cycles are compared with, says what the core says, in a chip whose core still runs beside it.
import { expect, test } from "vitest";
import { pack } from "#shared-schema/settings/pack.ts";
import { heavyCar, heavySettings, launchHeavy, USUAL_PULSES } from "../bench/heavy-car.ts";
import { buildTickC } from "../bench/tick-c/build.ts";
import { TickC, twinInC } from "../bench/tick-c/twin.ts";
import { NativeCore } from "../support/native-core.ts";
import { twin } from "../support/native-twin.ts";

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
