// The plain answers of the link: who the controller is, what goes on, what it holds. None of them changes anything.
import { putBytes, putLong, putShort, short } from "./bytes";
import { FRAME_IN, FRAME_OUT } from "./frame";
import { BOOT, Boot, LIVE, LIVE_BYTES } from "./generated/blocks";
import * as N from "./generated/numbers";
import * as S from "./generated/settings";
import { faultRule, faultWord } from "./judge";
import { ACTIVE, bootInfo, state } from "./state";
import { SLOTS, Slots, slots } from "./store";

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
  store<u8>(ANSWER, kind as u8);
  store<u8>(ANSWER + 1, reason as u8);
  putShort(ANSWER + 2, settings ? faultWord() : 0);
  store<u8>(ANSWER + 4, settings ? (faultRule() as u8) : 0);
  return 2 + N.REFUSAL_BYTES;
}

export function hello(): u32 {
  store<u8>(ANSWER, N.PROTOCOL_VERSION as u8);
  store<u8>(ANSWER + 1, S.SETTINGS_LAYOUT as u8);
  putShort(ANSWER + 2, S.SETTINGS_BYTES);
  putLong(ANSWER + 4, S.SETTINGS_FINGERPRINT);
  putBytes(ANSWER + 8, BOOT + offsetof<Boot>("imageVersion"), 12);
  putBytes(ANSWER + 20, SLOTS + offsetof<Slots>("sequence"), 16);
  store<u8>(ANSWER + 36, bootInfo.imageGood as u8);
  store<u8>(ANSWER + 37, state.mode as u8);
  store<u8>(ANSWER + 38, bootInfo.reason as u8);
  store<u8>(ANSWER + 39, bootInfo.detail as u8);
  store<u8>(ANSWER + 40, slots.slot as u8);
  store<u8>(ANSWER + 41, slots.note as u8);
  store<u8>(ANSWER + 42, slots.retired as u8);
  return answered(N.MESSAGE_HELLO, N.HELLO_ANSWER_BYTES);
}

export function status(): u32 {
  memory.copy(ANSWER, LIVE, LIVE_BYTES);
  return answered(N.MESSAGE_STATUS, LIVE_BYTES);
}

/** A piece of the settings in force. */
export function read(): u32 {
  const offset = short(BODY);
  const length = short(BODY + 2);
  if (!slots.slot) return refused(N.MESSAGE_READ, N.REFUSAL_NO_SETTINGS);
  if (length === 0 || length > N.READ_ANSWER_TAIL || offset + length > S.SETTINGS_BYTES) {
    return refused(N.MESSAGE_READ, N.REFUSAL_BAD_VALUE);
  }
  putShort(ANSWER, offset);
  memory.copy(ANSWER + 2, ACTIVE + (offset as usize), length as usize);
  return answered(N.MESSAGE_READ, 2 + length);
}
