// The stored log of a core rig as a log source: its state from the core, pages straight from its flash chip.
import type { CoreRig } from "#host/bench/core/rig.ts";
import { logStateOf, placeFrom } from "#host/link/log.ts";
import type { LogInfo, LogSource } from "#host/logbook/source.ts";
import { LOG_PAGE } from "#shared-schema/link/columns.ts";
import { QUIET_PASSES } from "#shared-schema/link/messages.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";
import { Device } from "../oracle/device.ts";

/** Passes from one look to the next: the line must be quiet for a while between them. */
const LOOK_PASSES = 2 * QUIET_PASSES;

/** Pages of the log area that hold records. */
export const LOG_PAGES = (FLASH.ticksStart - FLASH.logStart) / FLASH.page;

/** Reads a rig's log. */
export class FlashLog implements LogSource {
  private readonly rig: CoreRig;
  private readonly device: Device;

  constructor(rig: CoreRig) {
    this.rig = rig;
    this.device = new Device(rig);
  }

  /** Its state, at once. */
  now(): LogInfo {
    return logStateOf(this.device.ask("logInfo").values);
  }

  /** Passes of the main loop with nothing on the line until nothing is left to store or erase; how many. */
  settle(most = 20_000): number {
    for (let passes = 0; passes < most; passes++) {
      if (passes % LOOK_PASSES === 0 && this.now().busy === "no") return passes;
      this.rig.core.serve(0);
    }
    throw new Error("the log does not come to rest");
  }

  /** Asks for the whole log to be erased. */
  erase(): void {
    this.device.ask("logErase");
  }

  info(): Promise<LogInfo> {
    return Promise.resolve(this.now());
  }

  heads(page: number, stride: number, count: number): Promise<Uint8Array[]> {
    const places = Array.from({ length: count }, (_, i) => placeFrom(page, i * stride));
    return Promise.resolve(places.map((place) => this.bytes(place, LOG_PAGE.headBytes)));
  }

  pages(places: readonly number[]): Promise<Uint8Array[]> {
    return Promise.resolve(places.map((page) => this.bytes(page, FLASH.page)));
  }

  private bytes(page: number, length: number): Uint8Array {
    return this.rig.flash.read(FLASH.logStart + page * FLASH.page, length).slice();
  }
}
