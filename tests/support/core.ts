// The released control core for tests: compiled once for each test file.
import { readFileSync } from "node:fs";
import type { MemoryFlash } from "#host/bench/core/flash.ts";
import { CoreRig } from "#host/bench/core/rig.ts";

const module = new WebAssembly.Module(
  new Uint8Array(readFileSync(new URL("../../firmware/image/core.wasm", import.meta.url))),
);

/** A fresh core with its own memory and an erased flash chip. Not started yet. */
export function freshCore(): CoreRig {
  return new CoreRig(module);
}

/** The same on a flash chip of the test's own. */
export function coreOn(flash: MemoryFlash): CoreRig {
  return new CoreRig(module, flash);
}
