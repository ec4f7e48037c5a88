// Packs the records of the run into pages: the first of each page whole, the others as the words that have changed.
import * as B from "./generated/blocks";
import { log, recordAt } from "./log";
import { beginRecords, CONTENTS, COUNT, clearPages } from "./pages";

class Packed {
  /** The run, and how many of its records are packed. */
  run: u32;
  records: u32;
  /** The page that is being filled, and where its next record goes; 0 for none. */
  page: usize;
  at: usize;
}

const PACKED: usize = memory.data(16, 4);
const packed = changetype<Packed>(PACKED);
/** The record packed last. */
const BEFORE: usize = memory.data(32, 4);
/** Records begin at even places of a page; it has no count of ticks. */
const ROOM: usize = COUNT + 2;

/** What a word is expected to be: as before, and a hundredth of a second later. */
// @inline
function expected(n: u32): u32 {
  const before = load<u16>(BEFORE + ((n as usize) << 1)) as u32;
  return n ? before : (before + 1) & 0xffff;
}

/** One bit for each word that is another one than expected. */
function changed(record: usize): u32 {
  let mask: u32 = 0;
  for (let n: u32 = 0; n < B.LOG_RECORD_WORDS; n++)
    if ((load<u16>(record + ((n as usize) << 1)) as u32) !== expected(n)) mask |= 1 << n;
  return mask;
}

function putWhole(record: usize): void {
  packed.page = beginRecords();
  const at = packed.page + CONTENTS;
  memory.copy(at, record, B.LOG_RECORD_BYTES);
  packed.at = at + B.LOG_RECORD_BYTES;
}

function putChanged(record: usize, mask: u32): void {
  let at = packed.at;
  store<u16>(at, mask as u16);
  for (let n: u32 = 0; n < B.LOG_RECORD_WORDS; n++) {
    if (!((mask >> n) & 1)) continue;
    at += 2;
    store<u16>(at, load<u16>(record + ((n as usize) << 1)));
  }
  packed.at = at + 2;
}

/** Bytes of a mask and of the words that it names. */
function bytesOf(mask: u32): usize {
  let bytes: usize = 2;
  for (let rest = mask; rest; rest &= rest - 1) bytes += 2;
  return bytes;
}

function pack(record: usize): void {
  const mask = changed(record);
  const bytes = bytesOf(mask);
  if (!packed.page || packed.at + bytes > packed.page + ROOM) putWhole(record);
  else putChanged(record, mask);
  store<u8>(packed.page + 2, (load<u8>(packed.page + 2) + 1) as u8);
  memory.copy(BEFORE, record, B.LOG_RECORD_BYTES);
}

/** Packs what the tick has written, a record or two. To be called between ticks. */
export function keepRecords(): void {
  if (packed.run !== log.runs) {
    packed.run = log.runs;
    packed.records = 0;
    packed.page = 0;
    clearPages();
  }
  while (packed.records !== log.written) {
    pack(recordAt(packed.records));
    packed.records += 1;
  }
}
