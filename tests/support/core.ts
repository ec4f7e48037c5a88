// The control core for tests, as its sources are: loaded once for each worker.
import { readFileSync } from "node:fs";
import type { MemoryFlash } from "#host/bench/core/flash.ts";
import { CoreRig } from "#host/bench/core/rig.ts";
import { coreModuleFile } from "./core-module.ts";

const module = new WebAssembly.Module(new Uint8Array(readFileSync(coreModuleFile())));

/** A fresh core with its own memory and an erased flash chip. Not started yet. */
export function freshCore(): CoreRig {
  return new CoreRig(module);
}

/** The same on a flash chip of the test's own. */
export function coreOn(flash: MemoryFlash): CoreRig {
  return new CoreRig(module, flash);
}
