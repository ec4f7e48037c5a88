// Replays an exact stream: the core's memory as it was, and every tick with the inputs that it had.
import { CoreRig } from "#host/bench/core/rig.ts";
import type { ExactRun } from "./stream.ts";
import { putTick } from "./tick.ts";

/** Memory of a core as it is when it is made. */
export const freshMemory = (module: WebAssembly.Module): Uint8Array =>
  new Uint8Array(new CoreRig(module).core.memory.buffer).slice();

/** Runs every tick; `seen` looks at the core after each, `n` counts from 0. The stream must be of this module. */
export function replayExact(
  module: WebAssembly.Module,
  { memory, ticks }: ExactRun,
  seen: (rig: CoreRig, n: number) => void,
): void {
  const rig = new CoreRig(module);
  const all = rig.core.memory.buffer;
  new Uint8Array(all).set(memory);
  const view = new DataView(all);
  ticks.forEach((tick, n) => {
    putTick(view, tick);
    rig.core.tick(tick.nowUs | 0);
    seen(rig, n);
  });
}
