// What the workers of a spread are given: everything that its runs depend on.
import { MemoryFlash } from "#host/bench/core/flash.ts";
import type { DrivenCar } from "#host/bench/loop/closed-loop.ts";
import type { SpreadCar, SpreadPlan } from "#host/bench/loop/spread.ts";
import type { Document } from "#shared-schema/settings/pack.ts";

/** Given at the start. `flash` is that of a controller which has stored the settings. */
export interface SpreadJob {
  readonly driven: DrivenCar;
  readonly settings: Document;
  readonly module: WebAssembly.Module;
  readonly flash: Uint8Array;
  readonly plan: SpreadPlan;
}

/** A car that can be driven in this thread. */
export function carOf({ driven, settings, module, flash }: SpreadJob): SpreadCar {
  const chip = new MemoryFlash();
  chip.bytes.set(flash);
  return { driven, settings, module, flash: chip };
}
