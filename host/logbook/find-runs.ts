// Finds the pages of each run from few page heads: one for each sector, and all of a sector only where two runs meet.
import { FLASH } from "#shared-schema/model/blocks.ts";
import { decodeHead, type PageHead } from "./page.ts";
import type { LogInfo, LogSource } from "./source.ts";

/** Pages of a run in the order in which they were written. Some of them may prove to be damaged. */
export interface RunPages {
  readonly run: number;
  readonly pages: readonly number[];
}

/** Pages of a sector: the unit that is erased. */
export const SECTOR_PAGES = FLASH.sector / FLASH.page;

const isBlank = (bytes: Uint8Array): boolean => bytes.every((byte) => byte === 0xff);

/**
 * The head, if it belongs at this place of this log: its sequence number modulo the number of pages is its place, and no page
 * is older than the ring is long.
 */
function headAt(bytes: Uint8Array, page: number, { sequence, pages }: LogInfo): PageHead | undefined {
  const head = decodeHead(bytes);
  if (!head || head.sequence % pages !== page) return undefined;
  return head.sequence < sequence && head.sequence + pages >= sequence ? head : undefined;
}

/** Sectors that have been written, oldest first. Until the ring has wrapped, these are the first ones. */
function sectorsInOrder({ sequence, pages, next }: LogInfo): number[] {
  if (sequence < pages) return Array.from({ length: Math.ceil(sequence / SECTOR_PAGES) }, (_, i) => i);
  const sectors = pages / SECTOR_PAGES;
  const newest = Math.floor(((next + pages - 1) % pages) / SECTOR_PAGES);
  return Array.from({ length: sectors }, (_, i) => (newest + 1 + i) % sectors);
}

/** Pages of one sector, each with its run. */
async function pagesOf(
  source: LogSource,
  info: LogInfo,
  from: number,
  [here, after]: readonly [PageHead | undefined, PageHead | undefined],
): Promise<(readonly [page: number, run: number])[]> {
  const places = Array.from({ length: SECTOR_PAGES }, (_, i) => from + i);
  if (here && here.run === after?.run) return places.map((page) => [page, here.run]);
  const heads = await source.heads(from, 1, SECTOR_PAGES);
  return places.flatMap((page, i) => {
    const head = headAt(heads[i]!, page, info);
    return head ? [[page, head.run] as const] : [];
  });
}

/** All runs in the log, oldest first. The ring may have overwritten the beginning of the oldest. */
export async function findRuns(source: LogSource, info: LogInfo): Promise<RunPages[]> {
  if (info.sequence === 0) return [];
  const sectors = sectorsInOrder(info);
  const firsts = await source.heads(sectors[0]! * SECTOR_PAGES, SECTOR_PAGES, sectors.length);
  const heads = sectors.map((sector, i) => headAt(firsts[i]!, sector * SECTOR_PAGES, info));
  const runs = new Map<number, number[]>();
  for (const [i, sector] of sectors.entries()) {
    if (isBlank(firsts[i]!)) continue;
    const found = await pagesOf(source, info, sector * SECTOR_PAGES, [heads[i], heads[i + 1]]);
    for (const [page, run] of found) runs.set(run, [...(runs.get(run) ?? []), page]);
  }
  return [...runs].map(([run, pages]) => ({ run, pages })).sort((a, b) => a.run - b.run);
}
