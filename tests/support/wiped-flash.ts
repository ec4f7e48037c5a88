// One flash chip for many cores, one after the other: a new chip of two megabytes each would cost more than their ticks.
import { MemoryFlash } from "#host/bench/core/flash.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";

/** Remembers what was written, so that only that must be erased. */
export class WipedFlash extends MemoryFlash {
  private readonly written = new Set<number>();

  override program(offset: number, page: Uint8Array): void {
    this.written.add(offset - (offset % FLASH.sector));
    super.program(offset, page);
  }

  /** Makes it read as a new chip. */
  wipe(): this {
    for (const sector of this.written) this.erase(sector);
    this.written.clear();
    return this;
  }
}
