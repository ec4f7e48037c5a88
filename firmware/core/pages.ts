// The pages of the run in memory, with what they will hold in flash: records and ticks fill theirs side by side, and the oldest give way.
import { putShort } from "./bytes";
import * as B from "./generated/blocks";

class Pages {
  /** Pages begun in this run; the ring holds the last RING_PAGES of them. */
  begun: u32;
  /** The newest page of the records and of the ticks, one more than their numbers; 0 for none. */
  records: u32;
  ticks: u32;
}

const PAGES: usize = memory.data(12, 4);
export const pages = changetype<Pages>(PAGES);

/** Where the contents of a page begin in memory, and the two bytes behind them. */
export const CONTENTS: usize = (B.LOG_PAGE_HEAD_BYTES - B.LOG_PAGE_LEFT_OUT) as usize;
export const COUNT: usize = (B.LOG_PAGE_COUNT_AT - B.LOG_PAGE_LEFT_OUT) as usize;

/** Where the page of a number lies. */
export function pageAt(number: u32): usize {
  return B.PAGE_RING + (((number % B.RING_PAGES) * B.LOG_PAGE_MEMORY_BYTES) as usize);
}

/** The oldest page that the ring still holds. */
export function oldestPage(): u32 {
  return pages.begun > B.RING_PAGES ? pages.begun - B.RING_PAGES : 0;
}

/** Forgets the pages of the run before. */
export function clearPages(): void {
  memory.fill(PAGES, 0, offsetof<Pages>());
}

/** Begins the next page, of this kind, and returns where it lies. */
function begin(magic: u32): usize {
  const at = pageAt(pages.begun);
  pages.begun += 1;
  memory.fill(at, 0xff, B.LOG_PAGE_MEMORY_BYTES);
  putShort(at, magic);
  putShort(at + 2, 0);
  return at;
}

/** Begins a page of records. */
export function beginRecords(): usize {
  const at = begin(B.LOG_PAGE_MAGIC);
  pages.records = pages.begun;
  return at;
}

/** Begins a page of ticks. */
export function beginTicks(): usize {
  const at = begin(B.LOG_PAGE_TICKS_MAGIC);
  pages.ticks = pages.begun;
  return at;
}
