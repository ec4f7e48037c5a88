// The transfer of a settings block: pieces at their places, then check, judge, store, read back; only in mode off.
import { crc32c } from "./crc";
import * as N from "./generated/numbers";
import * as S from "./generated/settings";
import { judge } from "./judge";
import { prepare } from "./prepare";
import { STAGING } from "./state";
import { storeStaging } from "./store";

/** The transfer under way; id 0 is none. */
class Transfer {
  id: u32;
  crc: u32;
  have: u32;
}

const TRANSFER: usize = memory.data(16, 4);
const transfer = changetype<Transfer>(TRANSFER);

export function transferHas(): u32 {
  return transfer.have;
}

/** Begins a transfer, or goes on with it when id and check sum are those of the one under way. Returns a refusal or 0. */
export function begin(id: u32, crc: u32, fingerprint: u32, length: u32): u32 {
  if (fingerprint !== S.SETTINGS_FINGERPRINT) return N.REFUSAL_WRONG_SCHEMA;
  if (length !== S.SETTINGS_BYTES || id === 0) return N.REFUSAL_BAD_VALUE;
  if (transfer.id === id && transfer.crc === crc) return 0;
  transfer.id = id;
  transfer.crc = crc;
  transfer.have = 0;
  return 0;
}

/** Takes a piece. A piece from before `have` is taken again; one past it leaves a gap and is refused. */
export function takePiece(id: u32, offset: u32, from: usize, length: u32): u32 {
  if (id === 0 || id !== transfer.id) return N.REFUSAL_NO_TRANSFER;
  if (offset > transfer.have || offset + length > S.SETTINGS_BYTES) return N.REFUSAL_BAD_VALUE;
  memory.copy(STAGING + (offset as usize), from, length as usize);
  transfer.have = max<u32>(transfer.have, offset + length);
  return 0;
}

/** Checks, stores and takes the block into force. Returns a refusal or 0. The transfer is over but for a gap. */
export function commit(id: u32): u32 {
  if (id === 0 || id !== transfer.id) return N.REFUSAL_NO_TRANSFER;
  if (transfer.have < S.SETTINGS_BYTES) return N.REFUSAL_INCOMPLETE;
  transfer.id = 0;
  if (crc32c(STAGING, S.SETTINGS_BYTES) !== transfer.crc) return N.REFUSAL_BAD_CRC;
  if (!judge(STAGING)) return N.REFUSAL_BAD_SETTINGS;
  if (!storeStaging()) return N.REFUSAL_FLASH_FAILED;
  prepare();
  return 0;
}

/** Drops the transfer, for example because the controller was armed meanwhile. */
export function dropTransfer(): void {
  transfer.id = 0;
}
