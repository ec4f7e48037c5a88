// The link handler: takes frames, answers or refuses each; nothing that comes over the line can make anything flow.

import { ANSWER, answered, BODY, hello, read, refused, status } from "./answers";
import { restart, setBaud } from "./board";
import { long, putBytes, putLong, short } from "./bytes";
import { crc32c } from "./crc";
import { beginPiece, FRAME_IN, FRAME_OUT, nextFrame, sealFrame } from "./frame";
import * as N from "./generated/numbers";
import { logErase, logHeads, logInfo, logRead } from "./link-log";
import { storeSome } from "./runs";
import { live, state } from "./state";
import { readySpare, slots } from "./store";
import { begin, commit, dropTransfer, HAVE, takePiece } from "./transfer";
import { pass } from "./transitions";

/** Below this the battery dips, above the other there is one. */
const STEADY_BATTERY_MV: u32 = 9_000;
const NO_BATTERY_MV: u32 = 1_000;
/** Passes after the start until the battery has been measured. */
const FIRST_PASSES: u32 = 4;

/** What the handler keeps: the answer to the last request that may be done only once, and the speed of the line. */
class Link {
  onceSequence: u32;
  onceCrc: u32;
  onceBytes: u32;
  baud: u32;
  /** Something has come at this speed. */
  proven: u32;
  /** Time of the tick before the last good frame. */
  heardUs: u32;
  /** Passes since the last byte, and since slow work was last let through. */
  quiet: u32;
  held: u32;
}

const LINK: usize = memory.data(32, 4);
const link = changetype<Link>(LINK);
const ONCE: usize = memory.data(32, 4);
function baud(): u32 {
  const wanted = long(BODY + N.BAUD_REQUEST_BAUD);
  if (wanted < 9600 || wanted > N.BAUD_MAX) return refused(N.MESSAGE_BAUD, N.REFUSAL_BAD_VALUE);
  link.baud = wanted;
  setBaud(wanted);
  putLong(ANSWER + N.BAUD_ANSWER_BAUD, wanted);
  return answered(N.MESSAGE_BAUD, N.BAUD_ANSWER_BYTES);
}

function restartWanted(): u32 {
  const target = load<u8>(BODY, N.RESTART_REQUEST_TARGET) as u32;
  if (target > 1) return refused(N.MESSAGE_RESTART, N.REFUSAL_BAD_VALUE);
  restart(target);
  store<u8>(ANSWER, target as u8, N.RESTART_ANSWER_TARGET);
  return answered(N.MESSAGE_RESTART, N.RESTART_ANSWER_BYTES);
}

/** The answer to both: what is there of the transfer. */
function progress(kind: u32, refusal: u32): u32 {
  if (refusal) return refused(kind, refusal);
  putBytes(ANSWER, HAVE, N.WRITE_DATA_ANSWER_BYTES);
  return answered(kind, N.WRITE_DATA_ANSWER_BYTES);
}

function beginWrite(): u32 {
  const id = long(BODY + N.WRITE_BEGIN_REQUEST_ID);
  const crc = long(BODY + N.WRITE_BEGIN_REQUEST_CRC);
  const fingerprint = long(BODY + N.WRITE_BEGIN_REQUEST_FINGERPRINT);
  const length = short(BODY + N.WRITE_BEGIN_REQUEST_LENGTH);
  return progress(N.MESSAGE_WRITE_BEGIN, begin(id, crc, fingerprint, length));
}

function writeData(payload: u32): u32 {
  const id = long(BODY + N.WRITE_DATA_REQUEST_ID);
  const offset = short(BODY + N.WRITE_DATA_REQUEST_OFFSET);
  const head = N.WRITE_DATA_REQUEST_BYTES;
  return progress(N.MESSAGE_WRITE_DATA, takePiece(id, offset, BODY + (head as usize), payload - head));
}

/** Whatever the arm switch says now, it must be seen off before the controller arms. */
function needOffFirst(): void {
  state.armReady = 0;
  state.armOffUs = 0;
}

/** A switch that is on already must not arm by new settings. */
function committed(): u32 {
  const id = long(BODY + N.WRITE_COMMIT_REQUEST_ID);
  const refusal = commit(id, long(BODY + N.WRITE_COMMIT_REQUEST_BOARD_NUMBER));
  if (refusal) return refused(N.MESSAGE_WRITE_COMMIT, refusal);
  if (state.armOnUs) needOffFirst();
  putLong(ANSWER + N.WRITE_COMMIT_ANSWER_ID, id);
  putLong(ANSWER + N.WRITE_COMMIT_ANSWER_SEQUENCE, slots.sequence);
  store<u8>(ANSWER, slots.slot as u8, N.WRITE_COMMIT_ANSWER_SLOT);
  return answered(N.MESSAGE_WRITE_COMMIT, N.WRITE_COMMIT_ANSWER_BYTES);
}

/** Entering and leaving service. Leaving counts as a start: the arm switch must be seen off again. */
function service(): u32 {
  const on = load<u8>(BODY, N.SERVICE_REQUEST_ON) as u32;
  if (on > 1) return refused(N.MESSAGE_SERVICE, N.REFUSAL_BAD_VALUE);
  pass(on ? N.TRANSITION_SERVICED : N.TRANSITION_SERVICE_ENDED);
  needOffFirst();
  store<u8>(ANSWER, state.mode as u8, N.SERVICE_ANSWER_MODE);
  return answered(N.MESSAGE_SERVICE, N.SERVICE_ANSWER_BYTES);
}

/** Off or in service: nothing flows and nothing can arm by itself before the next tick. */
function atRest(): bool {
  return state.mode === N.MODE_OFF || state.mode === N.MODE_SERVICE;
}

/** Flash may be worked on: nothing flows or arms. After a lockout too, since the power that ends it would take the run with it. */
function mayWork(): bool {
  return atRest() || state.mode === N.MODE_LOCKED;
}

/** The request has the right length: does it, or refuses it while not at rest. */
function whileOff(kind: u32, payload: u32): u32 {
  if (!atRest()) return refused(kind, N.REFUSAL_NOT_OFF);
  if (kind === N.MESSAGE_SERVICE) return service();
  if (kind === N.MESSAGE_LOG_ERASE) return logErase();
  if (kind === N.MESSAGE_WRITE_BEGIN) return beginWrite();
  if (kind === N.MESSAGE_WRITE_DATA) return writeData(payload);
  if (kind === N.MESSAGE_WRITE_COMMIT) return committed();
  if (kind !== N.MESSAGE_RESTART) unreachable();
  return restartWanted();
}

/** Why a request of this kind and length is refused, 0 when it is not: a table row is kind, least, most. */
function formFault(kind: u32, payload: u32): u32 {
  const end = N.REQUEST_LENGTHS + (N.REQUESTS as usize) * 6;
  for (let row = N.REQUEST_LENGTHS; row < end; row += 6) {
    if (load<u16>(row) !== kind) continue;
    return payload < load<u16>(row + 2) || payload > load<u16>(row + 4) ? N.REFUSAL_BAD_LENGTH : 0;
  }
  live.badFrames += 1;
  return N.REFUSAL_UNKNOWN_KIND;
}

function answer(kind: u32, payload: u32): u32 {
  const fault = formFault(kind, payload);
  if (fault) return refused(kind, fault);
  if (kind === N.MESSAGE_HELLO) return hello();
  if (kind === N.MESSAGE_STATUS) return status();
  if (kind === N.MESSAGE_READ) return read();
  if (kind === N.MESSAGE_BAUD) return baud();
  if (kind === N.MESSAGE_LOG_INFO) return logInfo();
  if (kind === N.MESSAGE_LOG_HEADS) return logHeads();
  if (kind === N.MESSAGE_LOG_READ) return logRead();
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
 * Without a good frame for some time the line goes back to its default speed, so that a lost host finds it again: soon
 * when the new speed has never carried one. The host may then ask for the same speed once more, perhaps with the same
 * sequence number: that is no repeat.
 */
function watchSpeed(): void {
  const patienceUs = link.proven ? N.BAUD_FALLBACK_US : N.BAUD_PROOF_US;
  if (link.baud === N.BAUD_DEFAULT || state.nowUs - link.heardUs < patienceUs) return;
  link.baud = N.BAUD_DEFAULT;
  link.onceBytes = 0;
  setBaud(N.BAUD_DEFAULT);
}

/** Is the line quiet, or has it kept slow work waiting for too long? Bytes that come during slow work are lost. */
function slowWorkDue(): bool {
  link.quiet += 1;
  link.held += 1;
  if (link.quiet < N.QUIET_PASSES && link.held < N.MOST_HELD_PASSES) return false;
  link.held = 0;
  return true;
}

/**
 * The engine is being cranked, or the key turned off: a reset is likely, and one in the middle of a long erase leaves the chip
 * in its boot mode. Without any battery the board lies on a bench.
 */
function supplyDips(): bool {
  return state.batteryMv < STEADY_BATTERY_MV && state.batteryMv > NO_BATTERY_MV;
}

/** One piece of slow work at a time: the spare slot first, then the log. */
function slowWork(): void {
  if (slots.ready) storeSome();
  else readySpare();
}

/** Forgets everything at start. */
export function startLink(): void {
  memory.fill(LINK, 0, offsetof<Link>());
  link.baud = N.BAUD_DEFAULT;
  link.quiet = N.QUIET_PASSES - FIRST_PASSES;
}

/**
 * Takes `count` received bytes, with the end of one frame among them at most; returns how many bytes at LINK_TX are to be
 * sent.
 */
export function serveLink(count: u32): u32 {
  if (!atRest()) dropTransfer();
  if (count) link.quiet = 0;
  beginPiece();
  let bytes: u32 = 0;
  for (let length = nextFrame(count); length; length = nextFrame(count)) {
    bytes = handle(length);
    link.heardUs = state.nowUs;
    link.proven = load<u8>(FRAME_IN + 1) === N.MESSAGE_BAUD ? 0 : 1;
  }
  watchSpeed();
  if (bytes) return sealFrame(bytes);
  if (count === 0 && slowWorkDue() && mayWork() && !supplyDips()) slowWork();
  return 0;
}
