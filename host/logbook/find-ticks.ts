// Finds the pages that hold what the core has read in each tick of a run: its sectors, by the heads of their first pages.
import { FLASH } from "#shared-schema/model/blocks.ts";
import { SECTOR_PAGES } from "./find-runs.ts";
import type { LogSource, Progress } from "./source.ts";
import { decodeTicksHead, decodeTicksPage } from "./ticks-page.ts";

/** Where these pages begin in the log, and how many there are. */
const FIRST = (FLASH.ticksStart - FLASH.logStart) / FLASH.page;
const COUNT = (FLASH.logEnd - FLASH.ticksStart) / FLASH.page;

/** First pages of the sectors of a run, in the order in which they were written: a run begins in a sector of its own. */
async function sectorsOf(source: LogSource, run: number): Promise<number[]> {
  const heads = await source.heads(FIRST, SECTOR_PAGES, COUNT / SECTOR_PAGES);
  const found = heads.flatMap((bytes, i) => {
    const head = decodeTicksHead(bytes);
    const place = i * SECTOR_PAGES;
    return head?.run === run && head.sequence % COUNT === place ? [{ place, sequence: head.sequence }] : [];
  });
  return found.sort((a, b) => a.sequence - b.sequence).map(({ place }) => FIRST + place);
}

/** Whole pages of a run, in the order in which they were written; none when it is not kept tick by tick, or no longer. */
export async function ticksOf(source: LogSource, run: number, progress?: Progress): Promise<Uint8Array[]> {
  const sectors = await sectorsOf(source, run);
  const places = sectors.flatMap((first) => Array.from({ length: SECTOR_PAGES }, (_, i) => first + i));
  const pages = places.length > 0 ? await source.pages(places, progress) : [];
  return pages.filter((bytes) => decodeTicksPage(bytes)?.run === run);
}
