// Noise at every channel of both converters of a core rig, as codes.
import type { CoreRig } from "#host/bench/core/rig.ts";
import { INPUTS } from "#shared-schema/model/blocks.ts";
import { place } from "#shared-schema/model/layout.ts";
import type { Random } from "./random.ts";

const CHANNELS = 16;
const FULL = 4095;
const STEPS = 1000;
const SUMMED = 12;

/** Near enough to a normal number of deviation 1: a sum of twelve even ones. */
function normal(random: Random): number {
  let sum = -SUMMED / 2;
  for (let i = 0; i < SUMMED; i++) sum += random.below(STEPS) / STEPS;
  return sum;
}

/** Lets every tick of a rig read codes with normal noise of this deviation on them. */
export function noisyCodes(rig: CoreRig, codes: number, random: Random): void {
  const at = INPUTS.address + place(INPUTS).find(({ field }) => field.name === "adcA")!.offset;
  const all = new Uint16Array(rig.core.memory.buffer, at, CHANNELS);
  const { core } = rig;
  const tick = (nowUs: number): void => {
    for (let n = 0; n < CHANNELS; n++) {
      const code = Math.round(all[n]! + codes * normal(random));
      all[n] = Math.min(FULL, Math.max(0, code));
    }
    core.tick(nowUs);
  };
  Object.assign(rig, { core: { ...core, tick } });
}
