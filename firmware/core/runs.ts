// Stored runs: pages of the log in a ring of flash, each whole in itself, written while off, one piece of work at a time.
import { flashRead } from "./board";
import { long, putLong, putShort, short } from "./bytes";
import { crc32c } from "./crc";
import { eraseSector, programPage } from "./flash-work";
import * as B from "./generated/blocks";
import { log } from "./log";
import { oldestPage, pageAt, pages } from "./pages";
import { PAGE, slots } from "./store";

/** Pages of a sector, and of the part of the log that holds records. */
const SECTOR_PAGES: u32 = B.FLASH_SECTOR / B.FLASH_PAGE;
export const LOG_PAGES: u32 = (B.FLASH_TICKS_START - B.FLASH_LOG_START) / B.FLASH_PAGE;
/** Sectors of both parts. */
export const LOG_SECTORS: u32 = (B.FLASH_LOG_END - B.FLASH_LOG_START) / B.FLASH_SECTOR;

/** A part of flash with pages of one kind, written round and round. */
class Ring {
  /** Sequence number of the next page; modulo the pages it is the place of that page. 0 only when it is empty. */
  sequence: u32;
  /** The sector of the next page has been erased since the start. */
  ready: u32;
  /** Pages of the run that are stored. */
  number: u32;
  magic: u32;
  start: u32;
  pages: u32;
}

/** Where the stored log stands. */
export class Runs {
  run: u32;
  /** First page that is not stored yet, while a run is being stored. */
  stored: u32;
  /** Sector to erase next, while the whole log is being erased; LOG_SECTORS when it is not. */
  erasing: u32;
  /** Sectors with a page that could not be written in this run. */
  failures: u32;
}

const RUNS: usize = memory.data(16, 4);
export const runs = changetype<Runs>(RUNS);
const RINGS: usize = memory.data(48, 4);
export const records = changetype<Ring>(RINGS);
const ticks = changetype<Ring>(RINGS + 24);
/** The head of the page that was last read, or is to be stored. */
const head = changetype<B.LogPageHead>(PAGE);
/** After so many bad sectors a run is given up: the log must not wear out what is left. */
const MOST_FAILURES: u32 = 16;

function offsetOf(ring: Ring, page: u32): u32 {
  return ring.start + page * B.FLASH_PAGE;
}

function headIs(at: usize, magic: u32): bool {
  return short(at) === magic;
}

/** Reads the head of a page of records to `to`. */
export function readHead(page: u32, to: usize): void {
  flashRead(offsetOf(records, page), to, B.LOG_PAGE_HEAD_BYTES);
}

/** Reads a whole page to PAGE. */
function pageGood(ring: Ring, page: u32): bool {
  flashRead(offsetOf(ring, page), PAGE, B.FLASH_PAGE);
  return headIs(PAGE, ring.magic) && long(PAGE + B.LOG_PAGE_CRC_AT) === crc32c(PAGE, B.LOG_PAGE_CRC_AT);
}

/** Place of the next page. */
export function nextPage(ring: Ring): u32 {
  return ring.sequence % ring.pages;
}

function toNextSector(ring: Ring): void {
  ring.sequence += SECTOR_PAGES - (ring.sequence % SECTOR_PAGES);
  ring.ready = 0;
}

/** Notes a good page as the newest when its sequence number says so. */
function consider(ring: Ring, page: u32): void {
  flashRead(offsetOf(ring, page), PAGE, B.LOG_PAGE_HEAD_BYTES);
  if (!headIs(PAGE, ring.magic)) return;
  const sequence = head.sequence;
  if (sequence < ring.sequence || sequence % ring.pages !== page || !pageGood(ring, page)) return;
  ring.sequence = sequence + 1;
  runs.run = max<u32>(runs.run, head.run);
}

/**
 * Finds the newest page: first among the sectors' first pages, then in the sector that begins with the newest. Writing goes
 * on in the sector after it: the pages behind the newest may be torn and read as blank, and hold badly.
 */
function findRing(ring: Ring, magic: u32, start: u32, count: u32): void {
  ring.magic = magic;
  ring.start = start;
  ring.pages = count;
  for (let page: u32 = 0; page < count; page += SECTOR_PAGES) consider(ring, page);
  for (let page = nextPage(ring); page % SECTOR_PAGES; page++) consider(ring, page);
  if (ring.sequence % SECTOR_PAGES) toNextSector(ring);
}

/** Finds where both parts of the log stand. */
export function findRuns(): void {
  memory.fill(RUNS, 0, offsetof<Runs>());
  memory.fill(RINGS, 0, 2 * offsetof<Ring>());
  runs.erasing = LOG_SECTORS;
  findRing(records, B.LOG_PAGE_MAGIC, B.FLASH_LOG_START, LOG_PAGES);
  const tickPages: u32 = (B.FLASH_LOG_END - B.FLASH_TICKS_START) / B.FLASH_PAGE;
  findRing(ticks, B.LOG_PAGE_TICKS_MAGIC, B.FLASH_TICKS_START, tickPages);
}

/** Pages of the run in memory that are still to be stored. */
export function pagesWaiting(): u32 {
  if (log.phase !== 2) return 0;
  return pages.begun - (log.begun ? runs.stored : oldestPage());
}

/** Makes the next page as it will lie in flash. */
function fillPage(ring: Ring): void {
  memory.copy(PAGE + B.LOG_PAGE_LEFT_OUT, pageAt(runs.stored), B.LOG_PAGE_MEMORY_BYTES);
  store<u32>(PAGE, load<u32>(PAGE + B.LOG_PAGE_LEFT_OUT));
  const last = ring.magic === B.LOG_PAGE_MAGIC ? pages.records : pages.ticks;
  const ends = (ring.number ? 0 : B.LOG_PAGE_FIRST) | (runs.stored + 1 === last ? B.LOG_PAGE_LAST : 0);
  head.flags |= ends as u8;
  head.run = runs.run;
  head.sequence = ring.sequence;
  head.settingsCrc = slots.settingsCrc;
  putShort(PAGE + B.LOG_PAGE_NUMBER_AT, ring.number);
  putLong(PAGE + B.LOG_PAGE_CRC_AT, crc32c(PAGE, B.LOG_PAGE_CRC_AT));
}

/** Leaves the rest of a sector in which a page could not be written: a sector is found by its first page. */
function leaveSector(ring: Ring): void {
  toNextSector(ring);
  runs.failures += 1;
  if (runs.failures > MOST_FAILURES) log.phase = 3;
}

/** Ticks begin in a sector of their own, so that the sectors' first pages tell whose they are. */
function begin(): void {
  log.begun = 1;
  runs.run += 1;
  runs.stored = oldestPage();
  runs.failures = 0;
  records.number = 0;
  ticks.number = 0;
  if (ticks.sequence % SECTOR_PAGES) toNextSector(ticks);
}

/** Stores one page of the run that waits in memory. One that does not read back whole is written again elsewhere. */
function storePage(ring: Ring): void {
  const place = nextPage(ring);
  fillPage(ring);
  programPage(offsetOf(ring, place), PAGE);
  if (!pageGood(ring, place)) {
    leaveSector(ring);
    return;
  }
  ring.sequence += 1;
  ring.number += 1;
  if (ring.sequence % SECTOR_PAGES === 0) ring.ready = 0;
  runs.stored += 1;
  if (runs.stored === pages.begun) log.phase = 3;
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

function storeRun(): void {
  if (!log.begun) begin();
  const ring = headIs(pageAt(runs.stored), B.LOG_PAGE_MAGIC) ? records : ticks;
  if (ring.ready) {
    storePage(ring);
    return;
  }
  eraseSector(offsetOf(ring, nextPage(ring)));
  ring.ready = 1;
}

/** One piece of work: an erase or a page. Only called while nothing can flow. */
export function storeSome(): void {
  if (runs.erasing < LOG_SECTORS) eraseSome();
  else if (pagesWaiting()) storeRun();
  else if (log.phase === 2) log.phase = 3;
}
