// The link handler: takes frames, answers or refuses each; nothing that comes over the line can make anything flow.
import { restart, setBaud } from "./board";
import { long, putLong, putShort, short } from "./bytes";
import { crc32c } from "./crc";
import { beginPiece, FRAME_IN, FRAME_OUT, nextFrame, sealFrame } from "./frame";
import { BOOT_BOARD_ID, LIVE, LIVE_BYTES } from "./generated/blocks";
import * as N from "./generated/numbers";
import * as S from "./generated/settings";
import { ACTIVE, addUntilFull, bootInfo, live, state } from "./state";
import { readySpare, slots } from "./store";
import { begin, commit, dropTransfer, faultRule, faultWord, takePiece, transferHas } from "./transfer";

/** What the handler keeps: the answer to the last request that may be done only once, and the speed of the line. */
class Link {
  onceSequence: u32;
  onceCrc: u32;
  onceBytes: u32;
  baud: u32;
  quietUs: u32;
}

const LINK: usize = memory.data(32, 4);
const link = changetype<Link>(LINK);
const ONCE: usize = memory.data(32, 4);
const BODY: usize = FRAME_IN + 2;
const ANSWER: usize = FRAME_OUT + 2;

/** Length of the answer frame, before its check sum. */
function answered(kind: u32, payload: u32): u32 {
  store<u8>(FRAME_OUT + 1, (kind | N.ANSWER_BIT) as u8);
  return 2 + payload;
}

function refused(kind: u32, reason: u32): u32 {
  const settings = reason === N.REFUSAL_BAD_SETTINGS;
  store<u8>(FRAME_OUT + 1, N.REFUSAL_KIND as u8);
  store<u8>(ANSWER, kind as u8);
  store<u8>(ANSWER + 1, reason as u8);
  putShort(ANSWER + 2, settings ? faultWord() : 0);
  store<u8>(ANSWER + 4, settings ? (faultRule() as u8) : 0);
  return 2 + N.REFUSAL_BYTES;
}

function hello(): u32 {
  store<u8>(ANSWER, N.PROTOCOL_VERSION as u8);
  store<u8>(ANSWER + 1, S.SETTINGS_LAYOUT as u8);
  putShort(ANSWER + 2, S.SETTINGS_BYTES);
  putLong(ANSWER + 4, S.SETTINGS_FINGERPRINT);
  putLong(ANSWER + 8, bootInfo.imageVersion);
  putLong(ANSWER + 12, bootInfo.imageCrc);
  putLong(ANSWER + 16, bootInfo.place);
  putLong(ANSWER + 20, slots.sequence);
  putLong(ANSWER + 24, slots.settingsCrc);
  for (let i: usize = 0; i < 8; i++) store<u8>(ANSWER + 28 + i, load<u8>(BOOT_BOARD_ID + i));
  store<u8>(ANSWER + 36, bootInfo.imageGood as u8);
  store<u8>(ANSWER + 37, state.mode as u8);
  store<u8>(ANSWER + 38, bootInfo.reason as u8);
  store<u8>(ANSWER + 39, bootInfo.detail as u8);
  store<u8>(ANSWER + 40, slots.slot as u8);
  store<u8>(ANSWER + 41, slots.note as u8);
  return answered(N.MESSAGE_HELLO, N.HELLO_ANSWER_BYTES);
}

function status(): u32 {
  memory.copy(ANSWER, LIVE, LIVE_BYTES);
  return answered(N.MESSAGE_STATUS, LIVE_BYTES);
}

function read(): u32 {
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

function baud(): u32 {
  const wanted = long(BODY);
  if (wanted < 9600 || wanted > N.BAUD_MAX) return refused(N.MESSAGE_BAUD, N.REFUSAL_BAD_VALUE);
  link.baud = wanted;
  setBaud(wanted);
  putLong(ANSWER, wanted);
  return answered(N.MESSAGE_BAUD, N.BAUD_ANSWER_BYTES);
}

function restartWanted(): u32 {
  const target = load<u8>(BODY) as u32;
  if (target > 1) return refused(N.MESSAGE_RESTART, N.REFUSAL_BAD_VALUE);
  restart(target);
  store<u8>(ANSWER, target as u8);
  return answered(N.MESSAGE_RESTART, N.RESTART_ANSWER_BYTES);
}

function progress(kind: u32, refusal: u32): u32 {
  if (refusal) return refused(kind, refusal);
  putLong(ANSWER, long(BODY));
  putShort(ANSWER + 4, transferHas());
  return answered(kind, 6);
}

function committed(): u32 {
  const refusal = commit(long(BODY));
  if (refusal) return refused(N.MESSAGE_WRITE_COMMIT, refusal);
  putLong(ANSWER, long(BODY));
  putLong(ANSWER + 4, slots.sequence);
  store<u8>(ANSWER + 8, slots.slot as u8);
  return answered(N.MESSAGE_WRITE_COMMIT, N.WRITE_COMMIT_ANSWER_BYTES);
}

/** The request has the right length: does it, or refuses it while not off. */
function whileOff(kind: u32, payload: u32): u32 {
  if (state.mode !== N.MODE_OFF) return refused(kind, N.REFUSAL_NOT_OFF);
  if (kind === N.MESSAGE_WRITE_BEGIN)
    return progress(kind, begin(long(BODY), long(BODY + 4), long(BODY + 8), short(BODY + 12)));
  if (kind === N.MESSAGE_WRITE_DATA) {
    const head = N.WRITE_DATA_REQUEST_BYTES;
    return progress(kind, takePiece(long(BODY), short(BODY + 4), BODY + (head as usize), payload - head));
  }
  return kind === N.MESSAGE_WRITE_COMMIT ? committed() : restartWanted();
}

/** Does the payload have a length that its kind allows? */
function lengthFits(kind: u32, payload: u32): bool {
  if (kind === N.MESSAGE_HELLO || kind === N.MESSAGE_STATUS) return payload === 0;
  if (kind === N.MESSAGE_READ) return payload === N.READ_REQUEST_BYTES;
  if (kind === N.MESSAGE_BAUD) return payload === N.BAUD_REQUEST_BYTES;
  if (kind === N.MESSAGE_RESTART) return payload === N.RESTART_REQUEST_BYTES;
  if (kind === N.MESSAGE_WRITE_BEGIN) return payload === N.WRITE_BEGIN_REQUEST_BYTES;
  if (kind === N.MESSAGE_WRITE_COMMIT) return payload === N.WRITE_COMMIT_REQUEST_BYTES;
  const data = N.WRITE_DATA_REQUEST_BYTES;
  return payload > data && payload <= data + N.WRITE_DATA_REQUEST_TAIL;
}

function known(kind: u32): bool {
  const write = kind >= N.MESSAGE_WRITE_BEGIN && kind <= N.MESSAGE_WRITE_COMMIT;
  return (kind >= N.MESSAGE_HELLO && kind <= N.MESSAGE_RESTART) || write;
}

function answer(kind: u32, payload: u32): u32 {
  if (!known(kind)) {
    live.badFrames += 1;
    return refused(kind, N.REFUSAL_UNKNOWN_KIND);
  }
  if (!lengthFits(kind, payload)) return refused(kind, N.REFUSAL_BAD_LENGTH);
  if (kind === N.MESSAGE_HELLO) return hello();
  if (kind === N.MESSAGE_STATUS) return status();
  if (kind === N.MESSAGE_READ) return read();
  if (kind === N.MESSAGE_BAUD) return baud();
  return whileOff(kind, payload);
}

function once(kind: u32): bool {
  return kind === N.MESSAGE_BAUD || kind === N.MESSAGE_RESTART || kind === N.MESSAGE_WRITE_COMMIT;
}

/** Answers the frame in FRAME_IN; a repeat of a request that is done only once gets the same answer again. */
function handle(length: u32): u32 {
  const sequence = load<u8>(FRAME_IN) as u32;
  const kind = load<u8>(FRAME_IN + 1) as u32;
  store<u8>(FRAME_OUT, sequence as u8);
  if (!once(kind)) return answer(kind, length - 2);
  const crc = crc32c(FRAME_IN, length);
  if (link.onceBytes && link.onceSequence === sequence && link.onceCrc === crc) {
    memory.copy(FRAME_OUT, ONCE, link.onceBytes as usize);
    return link.onceBytes;
  }
  const bytes = answer(kind, length - 2);
  link.onceSequence = sequence;
  link.onceCrc = crc;
  link.onceBytes = bytes;
  memory.copy(ONCE, FRAME_OUT, bytes as usize);
  return bytes;
}

/**
 * Without a good frame for some time the line goes back to its default speed, so that a lost host finds it again. The
 * host may then ask for the same speed once more, perhaps with the same sequence number: that is no repeat.
 */
function watchSpeed(good: bool): void {
  link.quietUs = good ? 0 : addUntilFull(link.quietUs, state.dtUs);
  if (link.baud === N.BAUD_DEFAULT || link.quietUs < N.BAUD_FALLBACK_US) return;
  link.baud = N.BAUD_DEFAULT;
  link.onceBytes = 0;
  setBaud(N.BAUD_DEFAULT);
}

/** Forgets everything at start. */
export function startLink(): void {
  memory.fill(LINK, 0, offsetof<Link>());
  link.baud = N.BAUD_DEFAULT;
}

/** Takes `count` received bytes; returns how many bytes at LINK_TX are to be sent. One answer for each call at most. */
export function serveLink(count: u32): u32 {
  if (state.mode !== N.MODE_OFF) dropTransfer();
  beginPiece();
  let bytes: u32 = 0;
  let good = false;
  for (let length = nextFrame(count); length; length = nextFrame(count)) {
    good = true;
    bytes = handle(length);
  }
  watchSpeed(good);
  if (bytes) return sealFrame(bytes);
  if (state.mode === N.MODE_OFF && count === 0) readySpare();
  return 0;
}
