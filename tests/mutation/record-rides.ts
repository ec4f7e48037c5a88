// Rides of the tick in C for a trial: made once, by cores in which every mistake is asleep, and kept in a file that all workers read.
import { writeFileSync } from "node:fs";
import { serialize } from "node:v8";
import { CoreRig } from "#host/bench/core/rig.ts";
import { buildTickC } from "../bench/tick-c/build.ts";
import { type Ride, record } from "../bench/tick-c/rides.ts";
import { Counts } from "../oracle/run.ts";
import { NativeCore } from "../support/native-core.ts";
import { WipedFlash } from "../support/wiped-flash.ts";

const RIDES = 160;
const TICKS = 600;

/** Writes the rides to `file`. Needs the cross-compiler; throws where core and C differ, since nothing can be judged by them then. */
export function recordRides(asleep: Uint8Array, file: string): void {
  const module = new WebAssembly.Module(new Uint8Array(asleep));
  const native = new NativeCore();
  const elf = buildTickC();
  const flash = new WipedFlash();
  const counts = new Counts();
  const rides = Array.from({ length: RIDES }, (_, i): Ride => {
    const made = { seed: i + 1, ticks: TICKS, counts };
    const { differs, ...ride } = record(new CoreRig(module, flash.wipe()), native, elf, made);
    if (differs) throw new Error(`the core and the tick in C differ: ${differs}`);
    return ride;
  });
  writeFileSync(file, serialize(rides));
}
