// Two slots of settings in flash: one in force, the other already erased, so that a stored block is never at risk.
import { flashErase, flashProgram, flashRead } from "./board";
import { crc32c } from "./crc";
import * as B from "./generated/blocks";
import * as N from "./generated/numbers";
import * as S from "./generated/settings";
import { judge } from "./judge";
import { ACTIVE, STAGING, state } from "./state";

const MAGIC: u32 = 0x54534748;
const SLOT_BYTES: u32 = 1536;
const ERASED: u32 = 0xffffffff;
/** A slot counts only if this many readings of it agree. */
const READINGS: u32 = 3;

/** Header of a slot, in its first page; the settings follow in the next pages. */
class Header {
  magic: u32;
  layout: u32;
  fingerprint: u32;
  sequence: u32;
  length: u32;
  settingsCrc: u32;
  headerCrc: u32;
}

const PAGE: usize = memory.data(256, 4);
const page = changetype<Header>(PAGE);
/** Bytes of the header before its own check sum. */
const HEADER_BYTES: u32 = 24;

/** The slot in force: 0 none, 1 A, 2 B; its sequence number and the check sum of its settings. */
export class Slots {
  slot: u32;
  sequence: u32;
  settingsCrc: u32;
  note: u32;
  /** The other slot is known to be erased. */
  spareReady: u32;
}

const SLOTS: usize = memory.data(32, 4);
export const slots = changetype<Slots>(SLOTS);

function offsetOf(slot: u32): u32 {
  return slot === 1 ? B.FLASH_SLOT_A : B.FLASH_SLOT_B;
}

function headerGood(): bool {
  return (
    page.magic === MAGIC && page.headerCrc === crc32c(PAGE, HEADER_BYTES) && page.length === S.SETTINGS_BYTES
  );
}

/** Reads header and settings of a slot into PAGE and STAGING. */
function readSlot(slot: u32): bool {
  flashRead(offsetOf(slot), PAGE, B.FLASH_PAGE);
  if (!headerGood()) return false;
  flashRead(offsetOf(slot) + B.FLASH_PAGE, STAGING, S.SETTINGS_BYTES);
  return crc32c(STAGING, S.SETTINGS_BYTES) === page.settingsCrc;
}

/** Is the slot whole in every one of several readings, with the same sequence number? */
function whole(slot: u32): bool {
  if (!readSlot(slot)) return false;
  const sequence = page.sequence;
  for (let i: u32 = 1; i < READINGS; i++) {
    if (!readSlot(slot) || page.sequence !== sequence) return false;
  }
  return true;
}

/** Is the slot erased, as far as a write will use it? */
function blank(slot: u32): bool {
  for (let done: u32 = 0; done < SLOT_BYTES; done += B.FLASH_PAGE) {
    flashRead(offsetOf(slot) + done, PAGE, B.FLASH_PAGE);
    for (let i: u32 = 0; i < B.FLASH_PAGE; i += 4) {
      if (load<u32>(PAGE + (i as usize)) !== ERASED) return false;
    }
  }
  return true;
}

/** Is the slot whole, of this schema and passed by the judge? Notes what was wrong; leaves the settings in STAGING. */
function usable(slot: u32): bool {
  if (!whole(slot)) {
    if (!blank(slot)) slots.note = N.SLOT_NOTE_DAMAGED;
    return false;
  }
  if (page.layout !== S.SETTINGS_LAYOUT || page.fingerprint !== S.SETTINGS_FINGERPRINT) {
    slots.note = N.SLOT_NOTE_WRONG_SCHEMA;
    return false;
  }
  if (judge(STAGING)) return true;
  slots.note = N.SLOT_NOTE_DAMAGED;
  return false;
}

function take(slot: u32, sequence: u32, crc: u32): void {
  memory.copy(ACTIVE, STAGING, S.SETTINGS_BYTES);
  slots.slot = slot;
  slots.sequence = sequence;
  slots.settingsCrc = crc;
  state.settingsValid = 1;
}

/** Looks at both slots and takes the newer one that is whole. Without one there are no valid settings. */
export function findSettings(): void {
  slots.slot = 0;
  slots.sequence = 0;
  slots.settingsCrc = 0;
  slots.note = N.SLOT_NOTE_OK;
  slots.spareReady = 0;
  state.settingsValid = 0;
  for (let slot: u32 = 1; slot <= 2; slot++) {
    if (!usable(slot)) continue;
    const newer = slots.slot === 0 || ((page.sequence - slots.sequence) as i32) > 0;
    if (newer) take(slot, page.sequence, page.settingsCrc);
  }
  if (slots.slot === 0 && slots.note === N.SLOT_NOTE_OK) slots.note = N.SLOT_NOTE_EMPTY;
  if (slots.slot !== 0 && slots.note === N.SLOT_NOTE_DAMAGED) slots.note = N.SLOT_NOTE_FELL_BACK;
}

function spare(): u32 {
  return slots.slot === 1 ? 2 : 1;
}

/** Erases the slot that is not in force, once. Only called in mode off; takes as long as an erase takes. */
export function readySpare(): void {
  if (slots.spareReady) return;
  if (!blank(spare())) flashErase(offsetOf(spare()));
  slots.spareReady = 1;
}

function writeHeader(offset: u32, sequence: u32, crc: u32): void {
  memory.fill(PAGE, 0xff, B.FLASH_PAGE);
  page.magic = MAGIC;
  page.layout = S.SETTINGS_LAYOUT;
  page.fingerprint = S.SETTINGS_FINGERPRINT;
  page.sequence = sequence;
  page.length = S.SETTINGS_BYTES;
  page.settingsCrc = crc;
  page.headerCrc = crc32c(PAGE, HEADER_BYTES);
  flashProgram(offset, PAGE);
}

/**
 * Stores the block in STAGING, which the judge has passed, in the spare slot: settings first, header last, then reads it
 * back and takes what was read. False when what was read back is not what was to be stored; the old settings stay.
 */
export function storeStaging(): bool {
  readySpare();
  const slot = spare();
  const offset = offsetOf(slot);
  const crc = crc32c(STAGING, S.SETTINGS_BYTES);
  const sequence = slots.sequence + 1;
  slots.spareReady = 0;
  for (let done: u32 = 0; done < S.SETTINGS_BYTES; done += B.FLASH_PAGE) {
    flashProgram(offset + B.FLASH_PAGE + done, STAGING + (done as usize));
  }
  writeHeader(offset, sequence, crc);
  if (!whole(slot) || page.sequence !== sequence || page.settingsCrc !== crc) return false;
  take(slot, sequence, crc);
  return true;
}
