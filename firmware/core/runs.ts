// Stored runs: pages of the log in a ring of flash, each whole in itself, written while off, one piece of work at a time.
import { flashErase, flashProgram, flashRead } from "./board";
import { long, putLong, putShort, short } from "./bytes";
import { crc32c } from "./crc";
import * as B from "./generated/blocks";
import { log, recordAt } from "./log";
import { blank, PAGE, slots } from "./store";

/** Pages of the log area, and of a sector. */
export const LOG_PAGES: u32 = (B.FLASH_LOG_END - B.FLASH_LOG_START) / B.FLASH_PAGE;
const SECTOR_PAGES: u32 = B.FLASH_SECTOR / B.FLASH_PAGE;
export const LOG_SECTORS: u32 = LOG_PAGES / SECTOR_PAGES;

/** Where the stored log stands. */
export class Runs {
  /** Page and sequence number of the next write. */
  next: u32;
  sequence: u32;
  run: u32;
  /** First record that is not stored yet, while a run is being stored. */
  stored: u32;
  /** Sector to erase next, while the whole log is being erased; LOG_SECTORS when it is not. */
  erasing: u32;
  /** The page at `next` is known to be erased. */
  ready: u32;
  /** Pages that could not be written in this run. */
  failures: u32;
}

const RUNS: usize = memory.data(32, 4);
export const runs = changetype<Runs>(RUNS);
/** After so many bad pages a run is given up: the log must not wear out what is left. */
const MOST_FAILURES: u32 = 64;

function offsetOf(page: u32): u32 {
  return B.FLASH_LOG_START + page * B.FLASH_PAGE;
}

/** Reads a page's head into `to`; true when it is the head of a stored page. Its check sum is not looked at. */
export function readHead(page: u32, to: usize): bool {
  flashRead(offsetOf(page), to, B.LOG_PAGE_HEAD_BYTES);
  return short(to) === B.LOG_PAGE_MAGIC;
}

/** Reads a whole page to `to`. */
export function readPage(page: u32, to: usize): void {
  flashRead(offsetOf(page), to, B.FLASH_PAGE);
}

function pageGood(page: u32): bool {
  readPage(page, PAGE);
  return (
    short(PAGE) === B.LOG_PAGE_MAGIC && long(PAGE + B.LOG_PAGE_CRC_AT) === crc32c(PAGE, B.LOG_PAGE_CRC_AT)
  );
}

/** Notes a good page as the newest when its sequence number says so. */
function consider(page: u32): void {
  if (!readHead(page, PAGE)) return;
  if (runs.sequence && ((long(PAGE + 8) - runs.sequence) as i32) < 0) return;
  if (!pageGood(page)) return;
  runs.sequence = long(PAGE + 8) + 1;
  runs.run = long(PAGE + 4);
  runs.next = (page + 1) % LOG_PAGES;
}

/** Finds the newest page: first among the sectors' first pages, then in the sector that begins with the newest. */
export function findRuns(): void {
  memory.fill(RUNS, 0, offsetof<Runs>());
  runs.erasing = LOG_SECTORS;
  for (let page: u32 = 0; page < LOG_PAGES; page += SECTOR_PAGES) consider(page);
  if (!runs.sequence) return;
  for (let page = runs.next; page % SECTOR_PAGES; page++) consider(page);
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

function fillPage(count: u32, flags: u32): void {
  memory.fill(PAGE, 0xff, B.FLASH_PAGE);
  putShort(PAGE, B.LOG_PAGE_MAGIC);
  store<u8>(PAGE + 2, count as u8);
  store<u8>(PAGE + 3, flags as u8);
  putLong(PAGE + 4, runs.run);
  putLong(PAGE + 8, runs.sequence);
  putLong(PAGE + 12, slots.settingsCrc);
  const bytes = B.LOG_RECORD_BYTES as usize;
  for (let i: u32 = 0; i < count; i++) {
    memory.copy(PAGE + B.LOG_PAGE_HEAD_BYTES + (i as usize) * bytes, recordAt(runs.stored + i), bytes);
  }
  putLong(PAGE + B.LOG_PAGE_CRC_AT, crc32c(PAGE, B.LOG_PAGE_CRC_AT));
}

/** Leaves the page at `next`, and with the first page of a sector the whole sector: it is found by that page. */
function skip(): void {
  const step: u32 = runs.next % SECTOR_PAGES ? 1 : SECTOR_PAGES;
  runs.next = (runs.next + step) % LOG_PAGES;
  runs.ready = 0;
  runs.failures += 1;
  if (runs.failures > MOST_FAILURES) log.phase = 3;
}

/** Erases the sector that begins at `next`, also when it reads as blank: an erase that was cut off can read so. */
function makeReady(): void {
  const offset = offsetOf(runs.next);
  if (runs.next % SECTOR_PAGES === 0) flashErase(offset);
  if (blank(offset, B.FLASH_PAGE)) runs.ready = 1;
  else skip();
}

function begin(): void {
  log.begun = 1;
  runs.run += 1;
  runs.stored = oldest();
  runs.failures = 0;
}

/** Stores one page of the run that waits in memory. A page that does not read back whole is left and written again. */
function storePage(): void {
  const first = runs.stored === oldest();
  const left = recordsWaiting();
  const count = min<u32>(left, B.LOG_PAGE_RECORDS);
  fillPage(count, (first ? B.LOG_PAGE_FIRST : 0) | (count === left ? B.LOG_PAGE_LAST : 0));
  flashProgram(offsetOf(runs.next), PAGE);
  if (!pageGood(runs.next)) {
    skip();
    return;
  }
  runs.next = (runs.next + 1) % LOG_PAGES;
  runs.ready = 0;
  runs.sequence += 1;
  runs.stored += count;
  if (count === left) log.phase = 3;
}

/** Begins to erase the whole log; a run that waits in memory goes with it. */
export function eraseAll(): void {
  runs.erasing = 0;
  if (log.phase === 2) log.phase = 3;
}

function eraseSome(): void {
  flashErase(B.FLASH_LOG_START + runs.erasing * B.FLASH_SECTOR);
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
    else makeReady();
  }
}
