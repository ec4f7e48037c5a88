// What a core has said in a tick, and the pages of ticks in a flash chip.
import { splitPages } from "#host/logbook/run-file/saved-pages.ts";
import { decodeTicksPage } from "#host/logbook/ticks-page.ts";
import { LIVE } from "#shared-schema/link/columns.ts";
import { FLASH, OUTPUTS } from "#shared-schema/model/blocks.ts";
import { blockBytes } from "#shared-schema/model/layout.ts";

/** Bytes of the outputs; the mode comes after them in what was said. */
export const OUTPUT_BYTES = blockBytes(OUTPUTS);
const MODE_AT = 16;
/** What a core has said: its outputs, then mode, trip and the stages that flow. */
export function saidIn(memory: Uint8Array): Buffer {
  const live = memory.slice(LIVE.address + MODE_AT, LIVE.address + MODE_AT + 3);
  return Buffer.concat([memory.slice(OUTPUTS.address, OUTPUTS.address + OUTPUT_BYTES), live]);
}

/** Pages in a flash chip that hold ticks. */
export const tickPagesIn = (flash: Uint8Array): Uint8Array[] =>
  splitPages(flash.subarray(FLASH.ticksStart, FLASH.logEnd)).filter(
    (page) => decodeTicksPage(page) !== undefined,
  );
