// The transfer of a settings block: pieces at their places, then check, judge, store, read back; only in mode off.
import { crc32c } from "./crc";
import * as N from "./generated/numbers";
import * as S from "./generated/settings";
import { judge } from "./judge";
import { prepare } from "./prepare";
import { STAGING } from "./state";
import { storeStaging } from "./store";

/** Units of a whole block. */
const UNITS: u32 = (S.SETTINGS_BYTES + N.TRANSFER_UNIT - 1) / N.TRANSFER_UNIT;

/** The transfer under way; id 0 is none. */
class Transfer {
  id: u32;
  crc: u32;
  /** Units that are not there yet. */
  missing: u32;
}

const TRANSFER: usize = memory.data(16, 4);
const transfer = changetype<Transfer>(TRANSFER);
/** A bit for each unit that is there. */
export const HAVE: usize = memory.data(8, 4);

function note(unit: u32): void {
  const at = HAVE + ((unit >> 3) as usize);
  const bits = load<u8>(at) as u32;
  const bit: u32 = 1 << (unit & 7);
  if (bits & bit) return;
  store<u8>(at, (bits | bit) as u8);
  transfer.missing -= 1;
}

/** Begins a transfer, or goes on with it when id and check sum are those of the one under way. Returns a refusal or 0. */
export function begin(id: u32, crc: u32, fingerprint: u32, length: u32): u32 {
  if (fingerprint !== S.SETTINGS_FINGERPRINT) return N.REFUSAL_WRONG_SCHEMA;
  if (length !== S.SETTINGS_BYTES || id === 0) return N.REFUSAL_BAD_VALUE;
  if (transfer.id === id && transfer.crc === crc) return 0;
  transfer.id = id;
  transfer.crc = crc;
  transfer.missing = UNITS;
  memory.fill(HAVE, 0, N.WRITE_BEGIN_ANSWER_BYTES);
  return 0;
}

/** Takes a piece of whole units, only the block's end may be shorter; in any order, and again when it comes again. */
export function takePiece(id: u32, offset: u32, from: usize, length: u32): u32 {
  if (id === 0 || id !== transfer.id) return N.REFUSAL_NO_TRANSFER;
  const end = offset + length;
  if (offset % N.TRANSFER_UNIT || end > S.SETTINGS_BYTES) return N.REFUSAL_BAD_VALUE;
  if (end % N.TRANSFER_UNIT && end !== S.SETTINGS_BYTES) return N.REFUSAL_BAD_VALUE;
  memory.copy(STAGING + (offset as usize), from, length as usize);
  for (let at = offset; at < end; at += N.TRANSFER_UNIT) note(at / N.TRANSFER_UNIT);
  return 0;
}

/** Checks, stores and takes the block into force. Returns a refusal or 0. The transfer is over but for a gap. */
export function commit(id: u32, number: u32): u32 {
  if (id === 0 || id !== transfer.id) return N.REFUSAL_NO_TRANSFER;
  if (transfer.missing) return N.REFUSAL_INCOMPLETE;
  transfer.id = 0;
  if (crc32c(STAGING, S.SETTINGS_BYTES) !== transfer.crc) return N.REFUSAL_BAD_CRC;
  if (!judge(STAGING)) return N.REFUSAL_BAD_SETTINGS;
  if (!storeStaging(number)) return N.REFUSAL_FLASH_FAILED;
  prepare();
  return 0;
}

/** Drops the transfer, for example because the controller was armed meanwhile. */
export function dropTransfer(): void {
  transfer.id = 0;
}
