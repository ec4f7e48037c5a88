// Stored runs: pages of the log in a ring of flash, each whole in itself, written while off, one piece of work at a time.
import { flashRead } from "./board";
import { long, putLong, putShort, short } from "./bytes";
import { crc32c } from "./crc";
import { eraseSector, programPage } from "./flash-work";
import * as B from "./generated/blocks";
import { log, recordAt } from "./log";
import { PAGE, slots } from "./store";

/** Pages of the log area, and of a sector. */
export const LOG_PAGES: u32 = (B.FLASH_LOG_END - B.FLASH_LOG_START) / B.FLASH_PAGE;
const SECTOR_PAGES: u32 = B.FLASH_SECTOR / B.FLASH_PAGE;
export const LOG_SECTORS: u32 = LOG_PAGES / SECTOR_PAGES;

/** Where the stored log stands. */
export class Runs {
  /** Sequence number of the next page; modulo LOG_PAGES it is the place of that page. 0 only in an empty log. */
  sequence: u32;
  run: u32;
  /** First record that is not stored yet, while a run is being stored. */
  stored: u32;
  /** Sector to erase next, while the whole log is being erased; LOG_SECTORS when it is not. */
  erasing: u32;
  /** The sector of the next page has been erased since the start. */
  ready: u32;
  /** Sectors with a page that could not be written in this run. */
  failures: u32;
}

const RUNS: usize = memory.data(32, 4);
export const runs = changetype<Runs>(RUNS);
/** The head of the page that was last read, or is to be stored. */
const head = changetype<B.LogPageHead>(PAGE);
/** After so many bad sectors a run is given up: the log must not wear out what is left. */
const MOST_FAILURES: u32 = 16;

function offsetOf(page: u32): u32 {
  return B.FLASH_LOG_START + page * B.FLASH_PAGE;
}

/** Reads a page's head into `to`; true when it is the head of a stored page. Its check sum is not looked at. */
export function readHead(page: u32, to: usize): bool {
  flashRead(offsetOf(page), to, B.LOG_PAGE_HEAD_BYTES);
  return short(to) === B.LOG_PAGE_MAGIC;
}

/** Reads a whole page to `to`. */
function readPage(page: u32, to: usize): void {
  flashRead(offsetOf(page), to, B.FLASH_PAGE);
}

function pageGood(page: u32): bool {
  readPage(page, PAGE);
  return (
    short(PAGE) === B.LOG_PAGE_MAGIC && long(PAGE + B.LOG_PAGE_CRC_AT) === crc32c(PAGE, B.LOG_PAGE_CRC_AT)
  );
}

/** Place of the next page. */
export function nextPage(): u32 {
  return runs.sequence % LOG_PAGES;
}

function toNextSector(): void {
  runs.sequence += SECTOR_PAGES - (runs.sequence % SECTOR_PAGES);
}

/** Notes a good page as the newest when its sequence number says so. */
function consider(page: u32): void {
  if (!readHead(page, PAGE)) return;
  const sequence = head.sequence;
  if (sequence < runs.sequence || sequence % LOG_PAGES !== page || !pageGood(page)) return;
  runs.sequence = sequence + 1;
  runs.run = head.run;
}

/**
 * Finds the newest page: first among the sectors' first pages, then in the sector that begins with the newest. Writing goes
 * on in the sector after it: the pages behind the newest may be torn and read as blank, and hold badly.
 */
export function findRuns(): void {
  memory.fill(RUNS, 0, offsetof<Runs>());
  runs.erasing = LOG_SECTORS;
  for (let page: u32 = 0; page < LOG_PAGES; page += SECTOR_PAGES) consider(page);
  for (let page = nextPage(); page % SECTOR_PAGES; page++) consider(page);
  if (runs.sequence % SECTOR_PAGES) toNextSector();
}

/** The oldest record that the ring in memory still holds. */
function oldest(): u32 {
  return log.written > B.LOG_RECORDS ? log.written - B.LOG_RECORDS : 0;
}

/** Records of the run in memory that are still to be stored. */
export function recordsWaiting(): u32 {
  if (log.phase !== 2) return 0;
  return log.written - (log.begun ? runs.stored : oldest());
}

function fillPage(number: u32, count: u32, last: bool): void {
  memory.fill(PAGE, 0xff, B.FLASH_PAGE);
  head.magic = B.LOG_PAGE_MAGIC as u16;
  head.records = count as u8;
  head.flags = ((number ? 0 : B.LOG_PAGE_FIRST) | (last ? B.LOG_PAGE_LAST : 0)) as u8;
  head.run = runs.run;
  head.sequence = runs.sequence;
  head.settingsCrc = slots.settingsCrc;
  const bytes = B.LOG_RECORD_BYTES as usize;
  for (let i: u32 = 0; i < count; i++) {
    memory.copy(PAGE + B.LOG_PAGE_HEAD_BYTES + (i as usize) * bytes, recordAt(runs.stored + i), bytes);
  }
  putShort(PAGE + B.LOG_PAGE_NUMBER_AT, number);
  putLong(PAGE + B.LOG_PAGE_CRC_AT, crc32c(PAGE, B.LOG_PAGE_CRC_AT));
}

/** Leaves the rest of a sector in which a page could not be written: a sector is found by its first page. */
function leaveSector(): void {
  toNextSector();
  runs.ready = 0;
  runs.failures += 1;
  if (runs.failures > MOST_FAILURES) log.phase = 3;
}

function begin(): void {
  log.begun = 1;
  runs.run += 1;
  runs.stored = oldest();
  runs.failures = 0;
}

/** Stores one page of the run that waits in memory. One that does not read back whole is written again elsewhere. */
function storePage(): void {
  const place = nextPage();
  const left = recordsWaiting();
  const count = min<u32>(left, B.LOG_PAGE_RECORDS);
  fillPage((runs.stored - oldest()) / B.LOG_PAGE_RECORDS, count, count === left);
  programPage(offsetOf(place), PAGE);
  if (!pageGood(place)) {
    leaveSector();
    return;
  }
  runs.sequence += 1;
  if (runs.sequence % SECTOR_PAGES === 0) runs.ready = 0;
  runs.stored += count;
  if (count === left) log.phase = 3;
}

/** Begins to erase the whole log; a run that waits in memory goes with it. */
export function eraseAll(): void {
  runs.erasing = 0;
  if (log.phase === 2) log.phase = 3;
}

function eraseSome(): void {
  eraseSector(B.FLASH_LOG_START + runs.erasing * B.FLASH_SECTOR);
  runs.erasing += 1;
  if (runs.erasing < LOG_SECTORS) return;
  findRuns();
}

/** One piece of work: an erase, a look or a page. Only called while nothing can flow. */
export function storeSome(): void {
  if (runs.erasing < LOG_SECTORS) eraseSome();
  else if (log.phase === 2) {
    if (!log.begun) begin();
    if (runs.ready) storePage();
    else {
      eraseSector(offsetOf(nextPage()));
      runs.ready = 1;
    }
  }
}
