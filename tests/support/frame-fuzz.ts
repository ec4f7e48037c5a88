// Frames as an enemy or a bad cable would send them: random, mutated, cut, stuffed wrongly, and right ones with any content.
import { cobsEncode } from "#host/codec/cobs.ts";
import { crc32c } from "#host/codec/crc32c.ts";
import { encodeFrame } from "#host/link/frame.ts";
import { MAX_PAYLOAD, MESSAGES, type Message, packedBytes } from "#shared-schema/link/messages.ts";
import type { Random } from "./random.ts";

const BOUNDARIES = [0, 1, 0x7f, 0x80, 0xfe, 0xff];
/** Bytes of an oversized frame. */
export const HUGE = 10_000;

function randomBytes(random: Random, length: number): Uint8Array {
  return Uint8Array.from({ length }, () => (random.oneIn(3) ? random.pick(BOUNDARIES) : random.below(256)));
}

/** A payload for a message: most often of a length that it takes. */
function payloadFor(random: Random, message: Message): Uint8Array {
  const fixed = packedBytes(message.request);
  const right = fixed + random.below((message.request.tail ?? 0) + 1);
  return randomBytes(random, random.oneIn(5) ? random.below(MAX_PAYLOAD + 1) : right);
}

/** A whole frame with a right check sum and any content. */
export function rightFrame(random: Random): Uint8Array {
  const message = random.pick(MESSAGES);
  const kind = random.oneIn(4) ? random.below(256) : message.kind;
  return encodeFrame({ sequence: random.below(256), kind, payload: payloadFor(random, message) });
}

/** A body of any length, sealed and stuffed as a frame is: too short and too long ones among them. */
function sealed(random: Random): Uint8Array {
  const length = random.pick([0, 1, 2, 3, MAX_PAYLOAD + 2, MAX_PAYLOAD + 3, MAX_PAYLOAD + random.below(300)]);
  const body = new Uint8Array(length + 4);
  body.set(randomBytes(random, length));
  new DataView(body.buffer).setUint32(length, crc32c(body.subarray(0, length)), true);
  return Uint8Array.from([...cobsEncode(body), 0]);
}

/** Groups whose lengths and contents do not belong together. */
function groups(random: Random): Uint8Array {
  const bytes: number[] = [];
  for (let n = random.below(6); n >= 0; n--) {
    const code = random.pick([1, 2, 5, 254, 255, random.between(1, 255)]);
    const length = random.oneIn(2) ? code - 1 : random.below(300);
    bytes.push(code, ...randomBytes(random, length).map((byte) => byte || 1));
  }
  return Uint8Array.from([...bytes, 0]);
}

type Mutation = (random: Random, bytes: Uint8Array) => Uint8Array;

const flip: Mutation = (random, bytes) => {
  const at = random.below(bytes.length);
  return bytes.with(at, bytes[at]! ^ (1 << random.below(8)));
};
const drop: Mutation = (random, bytes) => {
  const at = random.below(bytes.length);
  return Uint8Array.from([...bytes.subarray(0, at), ...bytes.subarray(at + random.between(1, 4))]);
};
const insert: Mutation = (random, bytes) => {
  const at = random.below(bytes.length + 1);
  return Uint8Array.from([
    ...bytes.subarray(0, at),
    ...randomBytes(random, random.between(1, 4)),
    ...bytes.subarray(at),
  ]);
};
const cut: Mutation = (random, bytes) =>
  Uint8Array.from([...bytes.subarray(0, random.below(bytes.length)), 0]);
const twice: Mutation = (_, bytes) => Uint8Array.from([...bytes, ...bytes]);
const swap: Mutation = (random, bytes) => {
  const [a, b] = [random.below(bytes.length), random.below(bytes.length)];
  return bytes.with(a, bytes[b]!).with(b, bytes[a]!);
};

function mutated(random: Random): Uint8Array {
  let bytes = rightFrame(random);
  for (let n = random.between(1, 3); n > 0 && bytes.length > 0; n--)
    bytes = random.pick([flip, drop, insert, cut, twice, swap])(random, bytes);
  return bytes.at(-1) === 0 ? bytes : Uint8Array.from([...bytes, 0]);
}

/** Bytes that end in a zero, most of them no right frame. */
export function hostileBytes(random: Random): Uint8Array {
  const way = random.below(100);
  if (way === 0) return Uint8Array.from([...randomBytes(random, HUGE).map((byte) => byte || 1), 0]);
  if (way < 25) return Uint8Array.from([...randomBytes(random, random.below(random.pick([8, 60, 600]))), 0]);
  if (way < 40) return groups(random);
  return way < 50 ? sealed(random) : mutated(random);
}

/** What stands between zeros, empty pieces left out. */
export function piecesOf(bytes: Uint8Array): Uint8Array[] {
  const pieces: Uint8Array[] = [];
  for (let at = 0; at < bytes.length; ) {
    const end = bytes.indexOf(0, at);
    if (end < 0) throw new Error("the bytes do not end in a zero");
    if (end > at) pieces.push(bytes.subarray(at, end));
    at = end + 1;
  }
  return pieces;
}
