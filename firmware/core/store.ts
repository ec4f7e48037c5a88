// Slots of settings in flash, a sector each: one in force, the next one already erased; a stored block is never at risk.
import { flashRead } from "./board";
import { crc32c } from "./crc";
import { eraseSector, programPage } from "./flash-work";
import * as B from "./generated/blocks";
import * as N from "./generated/numbers";
import * as S from "./generated/settings";
import { judge } from "./judge";
import { prepare } from "./prepare";
import { ACTIVE, STAGING, state } from "./state";

const MAGIC: u32 = 0x54534748;
/** Header page and settings pages: what a slot uses of its sector. */
const SLOT_BYTES: u32 = 1280;
const SETTINGS_ROOM: u32 = SLOT_BYTES - B.FLASH_PAGE;
/** A slot counts only if this many readings of it agree. */
const READINGS: u32 = 3;

const RETIRED: u32 = 0xff;
/** Number of the board in the word that headers carry on. */
const BOARD_AT: u32 = 8;

/** Header of a slot, in its first page; the settings follow in the next pages. */
class Header {
  magic: u32;
  layout: u32;
  fingerprint: u32;
  sequence: u32;
  length: u32;
  /** Carried on from header to header. Bits 1 to 4: that slot is used no more. From bit 8: number of the board, 0 for none. */
  carried: u32;
  settingsCrc: u32;
  headerCrc: u32;
}

/** What was last read from flash, or is to be programmed. */
export const PAGE: usize = memory.data(1280, 4);
const page = changetype<Header>(PAGE);
const FOUND: usize = PAGE + B.FLASH_PAGE;
/** Bytes of the header before its own check sum. */
const HEADER_BYTES: u32 = 28;

/** What is known of the slots, which are numbered from 1. */
export class Slots {
  /** The slot in force, its sequence number and the check sum of its settings; 0 for none. */
  slot: u32;
  sequence: u32;
  settingsCrc: u32;
  /** Number of the board, of 24 bits; 0 as long as it has none. */
  number: u32;
  note: u32;
  /** Bit n: slot n did not hold what was written. */
  retired: u32;
  /** What the header of the slot in `keep` carries. */
  carried: u32;
  /** The slot that must not be touched: the one in force, or the newest of another schema. */
  keep: u32;
  /** Bit n: slot n is not erased; it is not whole either. Only as found at start. */
  filled: u32;
  torn: u32;
  /** The spare slot has been erased since the start, and no other holds anything old. */
  ready: u32;
}

export const SLOTS: usize = memory.data(48, 4);
export const slots = changetype<Slots>(SLOTS);

function offsetOf(slot: u32): u32 {
  return B.FLASH_SLOT_A + (slot - 1) * B.FLASH_SECTOR;
}

/** Does so much flash from `offset` on read as erased? Leaves it in PAGE. */
export function blank(offset: u32, bytes: u32): bool {
  flashRead(offset, PAGE, bytes);
  for (let i: u32 = 0; i < bytes; i += 4) {
    if (load<u32>(PAGE + (i as usize)) !== 0xffffffff) return false;
  }
  return true;
}

/** Is the slot whole in every one of several readings, and the same? Leaves it in PAGE and FOUND. */
function whole(slot: u32): bool {
  let crc: u32 = 0;
  for (let i: u32 = 0; i < READINGS; i++) {
    flashRead(offsetOf(slot), PAGE, SLOT_BYTES);
    if (page.magic !== MAGIC || page.length > SETTINGS_ROOM) return false;
    if (page.headerCrc !== crc32c(PAGE, HEADER_BYTES)) return false;
    if (page.settingsCrc !== crc32c(FOUND, page.length)) return false;
    if (i && page.headerCrc !== crc) return false;
    crc = page.headerCrc;
  }
  return true;
}

/** Notes the slot in PAGE as the one to keep, and takes its settings into force when they fit. */
function take(slot: u32, fits: bool): void {
  slots.keep = slot;
  slots.sequence = page.sequence;
  slots.carried = page.carried;
  slots.number = page.carried >> BOARD_AT;
  if (!fits) return;
  memory.copy(ACTIVE, FOUND, S.SETTINGS_BYTES);
  slots.slot = slot;
  slots.settingsCrc = page.settingsCrc;
  slots.retired = page.carried & RETIRED;
  state.settingsValid = 1;
}

/** Looks at one slot: the newest that fits wins; without one the newest of another schema is kept. */
function look(slot: u32): void {
  if (blank(offsetOf(slot), SLOT_BYTES)) return;
  slots.filled |= 1 << slot;
  const sound = whole(slot);
  const fits = sound && page.layout === S.SETTINGS_LAYOUT && page.fingerprint === S.SETTINGS_FINGERPRINT;
  if (!sound || (fits && !judge(FOUND))) {
    slots.torn |= 1 << slot;
    return;
  }
  const newer = !slots.keep || ((page.sequence - slots.sequence) as i32) > 0;
  if (fits === (slots.slot !== 0) ? newer : fits) take(slot, fits);
}

function noteFor(): u32 {
  if (slots.slot) return slots.torn & ~slots.retired ? N.SLOT_NOTE_CUT_OFF : N.SLOT_NOTE_OK;
  if (slots.keep) return N.SLOT_NOTE_WRONG_SCHEMA;
  return slots.filled ? N.SLOT_NOTE_DAMAGED : N.SLOT_NOTE_EMPTY;
}

/** Looks at all slots and takes the newest whole one. Without one there are no valid settings. */
export function findSettings(): void {
  memory.fill(SLOTS, 0, offsetof<Slots>());
  state.settingsValid = 0;
  for (let slot: u32 = 1; slot <= B.FLASH_SLOTS; slot++) look(slot);
  slots.note = noteFor();
  if (state.settingsValid) prepare();
}

function idle(slot: u32): bool {
  return slot !== slots.keep && !((slots.retired >> slot) & 1);
}

/** The slot that the next write goes to: the next in the ring that is neither kept nor retired. 0 when there is none. */
function spare(): u32 {
  let slot = slots.keep;
  for (let i: u32 = 0; i < B.FLASH_SLOTS; i++) {
    slot = (slot % B.FLASH_SLOTS) + 1;
    if (idle(slot)) return slot;
  }
  return 0;
}

/** Programs settings, then their header, and reads both back. */
function put(slot: u32, from: usize, sequence: u32, carried: u32): bool {
  const offset = offsetOf(slot);
  for (let done: u32 = 0; done < SETTINGS_ROOM; done += B.FLASH_PAGE) {
    programPage(offset + B.FLASH_PAGE + done, from + (done as usize));
  }
  memory.fill(PAGE, 0xff, B.FLASH_PAGE);
  page.magic = MAGIC;
  page.layout = S.SETTINGS_LAYOUT;
  page.fingerprint = S.SETTINGS_FINGERPRINT;
  page.sequence = sequence;
  page.length = S.SETTINGS_BYTES;
  page.carried = carried;
  page.settingsCrc = crc32c(from, S.SETTINGS_BYTES);
  const headerCrc = crc32c(PAGE, HEADER_BYTES);
  page.headerCrc = headerCrc;
  programPage(offset, PAGE);
  return whole(slot) && page.headerCrc === headerCrc;
}

/** The slot does not hold what is written: it is made invalid, as far as it can be, and used no more. */
function retire(slot: u32): void {
  slots.retired |= 1 << slot;
  memory.fill(PAGE, 0, B.FLASH_PAGE);
  programPage(offsetOf(slot), PAGE);
}

/**
 * Programs the settings in force once more over themselves when their own write may have been cut off, so that a bit reads
 * right by luck: when something else was found beside them, or when nothing was there before them (sequence number 1).
 * Only after that may the settings before them go.
 */
function strengthen(): void {
  const others = slots.filled & ~(1 << slots.slot);
  slots.filled = 0;
  if (slots.slot === 0 || (others === 0 && slots.sequence !== 1)) return;
  if (!put(slots.slot, ACTIVE, slots.sequence, slots.carried)) findSettings();
}

/**
 * Erases the spare slot, once after each start and each write, and what else is not blank. Also when it reads as blank: an
 * erase that was cut off can read so, and holds badly. Only called in mode off; takes as long as erases take.
 */
export function readySpare(): void {
  if (slots.ready) return;
  strengthen();
  const wanted = spare();
  for (let slot: u32 = 1; slot <= B.FLASH_SLOTS; slot++) {
    const offset = offsetOf(slot);
    if (!idle(slot) || (slot !== wanted && blank(offset, SLOT_BYTES))) continue;
    eraseSector(offset);
    if (!blank(offset, SLOT_BYTES)) retire(slot);
  }
  slots.ready = wanted === spare() ? 1 : 0;
}

/**
 * Stores the block in STAGING, which the judge has passed, in the spare slot, and takes what was read back. A slot that
 * does not read back is retired and the next one tried. False when none is left: the old settings stay, and the next
 * attempt tries all slots again. `number` becomes the board's only when it has none.
 */
export function storeStaging(number: u32): bool {
  for (let tries: u32 = 0; tries < 2 * B.FLASH_SLOTS; tries++) {
    readySpare();
    const slot = spare();
    if (!slots.ready) continue;
    if (slot === 0) break;
    slots.ready = 0;
    if (put(slot, STAGING, slots.sequence + 1, slots.retired | ((slots.number || number) << BOARD_AT))) {
      take(slot, true);
      return true;
    }
    retire(slot);
  }
  slots.retired = 0;
  return false;
}
