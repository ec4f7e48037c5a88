// The plain answers of the link: who the controller is, what goes on, what it holds. None of them changes anything.
import { putLong, putShort, short } from "./bytes";
import { FRAME_IN, FRAME_OUT } from "./frame";
import { LIVE, LIVE_BYTES } from "./generated/blocks";
import * as N from "./generated/numbers";
import * as S from "./generated/settings";
import { faultRule, faultWord } from "./judge";
import { ACTIVE, bootInfo, state } from "./state";
import { slots } from "./store";

/** Payload of the request. */
export const BODY: usize = FRAME_IN + 2;
/** Payload of the answer. */
export const ANSWER: usize = FRAME_OUT + 2;

/** Length of the answer frame, before its check sum. */
export function answered(kind: u32, payload: u32): u32 {
  store<u8>(FRAME_OUT + 1, (kind | N.ANSWER_BIT) as u8);
  return 2 + payload;
}

/** A refusal: kind of the request, reason, and for bad settings what is wrong. */
export function refused(kind: u32, reason: u32): u32 {
  const settings = reason === N.REFUSAL_BAD_SETTINGS;
  store<u8>(FRAME_OUT + 1, N.REFUSAL_KIND as u8);
  store<u8>(ANSWER, kind as u8, N.REFUSAL_AT_KIND);
  store<u8>(ANSWER, reason as u8, N.REFUSAL_AT_REASON);
  putShort(ANSWER + N.REFUSAL_AT_WORD, settings ? faultWord() : 0);
  store<u8>(ANSWER, settings ? (faultRule() as u8) : 0, N.REFUSAL_AT_RULE);
  return 2 + N.REFUSAL_BYTES;
}

function putProgram(): void {
  putLong(ANSWER + N.HELLO_ANSWER_IMAGE_VERSION, bootInfo.imageVersion);
  putLong(ANSWER + N.HELLO_ANSWER_IMAGE_CRC, bootInfo.imageCrc);
  putLong(ANSWER + N.HELLO_ANSWER_BOOT_PLACE, bootInfo.place);
  store<u8>(ANSWER, bootInfo.imageGood as u8, N.HELLO_ANSWER_IMAGE_GOOD);
  store<u8>(ANSWER, bootInfo.reason as u8, N.HELLO_ANSWER_BOOT_REASON);
  store<u8>(ANSWER, bootInfo.detail as u8, N.HELLO_ANSWER_BOOT_DETAIL);
}

function putSlots(): void {
  putLong(ANSWER + N.HELLO_ANSWER_SETTINGS_SEQUENCE, slots.sequence);
  putLong(ANSWER + N.HELLO_ANSWER_SETTINGS_CRC, slots.settingsCrc);
  putLong(ANSWER + N.HELLO_ANSWER_BOARD_NUMBER, slots.number);
  putLong(ANSWER + N.HELLO_ANSWER_SPARE, 0);
  store<u8>(ANSWER, slots.slot as u8, N.HELLO_ANSWER_SLOT);
  store<u8>(ANSWER, slots.note as u8, N.HELLO_ANSWER_SLOT_NOTE);
  store<u8>(ANSWER, slots.retired as u8, N.HELLO_ANSWER_RETIRED);
}

export function hello(): u32 {
  store<u8>(ANSWER, N.PROTOCOL_VERSION as u8, N.HELLO_ANSWER_PROTOCOL);
  store<u8>(ANSWER, S.SETTINGS_LAYOUT as u8, N.HELLO_ANSWER_LAYOUT);
  putShort(ANSWER + N.HELLO_ANSWER_SETTINGS_BYTES, S.SETTINGS_BYTES);
  putLong(ANSWER + N.HELLO_ANSWER_FINGERPRINT, S.SETTINGS_FINGERPRINT);
  store<u8>(ANSWER, state.mode as u8, N.HELLO_ANSWER_MODE);
  putProgram();
  putSlots();
  return answered(N.MESSAGE_HELLO, N.HELLO_ANSWER_BYTES);
}

export function status(): u32 {
  memory.copy(ANSWER, LIVE, LIVE_BYTES);
  return answered(N.MESSAGE_STATUS, LIVE_BYTES);
}

/** A piece of the settings in force. */
export function read(): u32 {
  const offset = short(BODY + N.READ_REQUEST_OFFSET);
  const length = short(BODY + N.READ_REQUEST_LENGTH);
  if (!slots.slot) return refused(N.MESSAGE_READ, N.REFUSAL_NO_SETTINGS);
  if (length === 0 || length > N.READ_ANSWER_TAIL || offset + length > S.SETTINGS_BYTES) {
    return refused(N.MESSAGE_READ, N.REFUSAL_BAD_VALUE);
  }
  putShort(ANSWER + N.READ_ANSWER_OFFSET, offset);
  memory.copy(ANSWER + N.READ_ANSWER_BYTES, ACTIVE + (offset as usize), length as usize);
  return answered(N.MESSAGE_READ, N.READ_ANSWER_BYTES + length);
}
