// Frames of the link: COBS with a closing zero, CRC-32C at the end; nothing in here knows what a frame means.
import { long, putLong } from "./bytes";
import { crc32c } from "./crc";
import { LINK_RX, LINK_TX } from "./generated/blocks";
import { MAX_PAYLOAD } from "./generated/numbers";
import { live } from "./state";

/** Sequence number, kind, payload, check sum. */
const FRAME_MAX: u32 = 2 + MAX_PAYLOAD + 4;

/** The frame that came in, unstuffed: sequence number, kind, payload. */
export const FRAME_IN: usize = memory.data(528, 4);
/** The frame that goes out, before stuffing. */
export const FRAME_OUT: usize = memory.data(528, 4);

/** How far the frame that is coming in has come. */
class Receiver {
  length: u32;
  /** Bytes until the next code byte. */
  left: u32;
  /** The block that ends stands for a zero. */
  zero: u32;
  /** The rest of this frame is thrown away. */
  spoilt: u32;
}

const RECEIVER: usize = memory.data(16, 4);
const receiver = changetype<Receiver>(RECEIVER);

function restart(): void {
  receiver.length = 0;
  receiver.left = 0;
  receiver.zero = 0;
  receiver.spoilt = 0;
}

function putByte(byte: u32): void {
  if (receiver.length >= FRAME_MAX) {
    receiver.spoilt = 1;
    return;
  }
  store<u8>(FRAME_IN + (receiver.length as usize), byte as u8);
  receiver.length += 1;
}

function takeByte(byte: u32): void {
  if (receiver.spoilt) return;
  if (receiver.left > 0) {
    receiver.left -= 1;
    putByte(byte);
    return;
  }
  if (receiver.zero) putByte(0);
  receiver.left = byte - 1;
  receiver.zero = byte < 255 ? 1 : 0;
}

/** Length without the check sum of a frame that has just ended, or 0 when it is damaged. */
function endFrame(): u32 {
  const length = receiver.length;
  const broken = receiver.spoilt || receiver.left > 0 || length < 6;
  restart();
  if (broken) return 0;
  const body = length - 4;
  return long(FRAME_IN + (body as usize)) === crc32c(FRAME_IN, body) ? body : 0;
}

/** Where `nextFrame` goes on reading in LINK_RX. */
let readAt: u32 = 0;

/** Begins with a fresh piece of received bytes. */
export function beginPiece(): void {
  readAt = 0;
}

/** Length of the next whole frame in FRAME_IN (check sum left off), or 0 when the `count` bytes are used up. */
export function nextFrame(count: u32): u32 {
  while (readAt < count) {
    const byte = load<u8>(LINK_RX + (readAt as usize)) as u32;
    readAt += 1;
    if (byte) {
      takeByte(byte);
      continue;
    }
    const empty = receiver.length === 0 && !receiver.spoilt && !receiver.left && !receiver.zero;
    const length = endFrame();
    if (length) return length;
    if (!empty) live.badFrames += 1;
  }
  return 0;
}

/** Closes the frame in FRAME_OUT of `length` bytes, stuffs it into LINK_TX; returns the number of bytes to send. */
export function sealFrame(length: u32): u32 {
  putLong(FRAME_OUT + (length as usize), crc32c(FRAME_OUT, length));
  return stuff(length + 4);
}

function stuff(length: u32): u32 {
  let codeAt = LINK_TX;
  let at = LINK_TX + 1;
  for (let i: u32 = 0; i < length; i++) {
    const byte = load<u8>(FRAME_OUT + (i as usize));
    if (byte) {
      store<u8>(at, byte);
      at += 1;
    }
    if (!byte || at - codeAt === 255) {
      store<u8>(codeAt, (at - codeAt) as u8);
      codeAt = at;
      at += 1;
    }
  }
  store<u8>(codeAt, (at - codeAt) as u8);
  store<u8>(at, 0);
  return (at + 1 - LINK_TX) as u32;
}
