// The released control core's module, for tests that make rigs with a flash chip of their own.
import { readFileSync } from "node:fs";

export const coreModule = new WebAssembly.Module(
  new Uint8Array(readFileSync(new URL("../../firmware/image/core.wasm", import.meta.url))),
);
