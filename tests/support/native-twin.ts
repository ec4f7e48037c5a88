// A core rig whose ticks also run natively, from the same memory.
import type { CoreRig } from "#host/bench/core/rig.ts";
import { CORE_MEMORY_BYTES } from "#shared-schema/model/blocks.ts";
import type { NativeCore } from "./native-core.ts";

/** One tick that ran in both: cycles of the native one, and the first address at which memory then differs. */
export interface TwinTick {
  readonly cycles: number;
  readonly differs: number | undefined;
}

type Tick = (nowUs: number) => void;

function replaceTick(rig: CoreRig, make: (tick: Tick) => Tick): void {
  const { core } = rig;
  Object.assign(rig, { core: { ...core, tick: make((nowUs) => core.tick(nowUs)) } });
}

/** Lets every tick of the rig run natively too. */
export function twin(rig: CoreRig, native: NativeCore, seen: (tick: TwinTick) => void): void {
  const wasm = new Uint8Array(rig.core.memory.buffer, 0, CORE_MEMORY_BYTES);
  replaceTick(rig, (tick) => (nowUs) => {
    native.memory.set(wasm);
    const cycles = native.call("w2c_core_tick", nowUs);
    tick(nowUs);
    const same = Buffer.compare(native.memory, wasm) === 0;
    seen({ cycles, differs: same ? undefined : wasm.findIndex((byte, i) => byte !== native.memory[i]) });
  });
}
