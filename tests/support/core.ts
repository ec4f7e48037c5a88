// The released control core for tests: compiled once for each test file.
import { readFileSync } from "node:fs";
import { CoreRig } from "#host/bench/core/rig.ts";

const module = new WebAssembly.Module(
  new Uint8Array(readFileSync(new URL("../../firmware/image/core.wasm", import.meta.url))),
);

/** A fresh core with its own memory and an erased flash chip. Not started yet. */
export function freshCore(): CoreRig {
  return new CoreRig(module);
}
