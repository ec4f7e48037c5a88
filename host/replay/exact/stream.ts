// An exact stream: the core's memory as a run begins, and then all that it reads, tick by tick.
import { crc32c } from "#host/codec/crc32c.ts";
import { LIVE } from "#shared-schema/link/columns.ts";
import { LOG_RING, OUTPUTS } from "#shared-schema/model/blocks.ts";
import { place } from "#shared-schema/model/layout.ts";
import { BitReader, BitWriter } from "./bits.ts";
import { TickCoder } from "./coder.ts";
import { copyOf, type Tick, tickIn } from "./tick.ts";

/** The core's own memory lies below its log. */
export const CORE_BYTES = LOG_RING.address;

/** A run from its first tick on. */
export interface ExactRun {
  /** CRC-32C of the core's module. */
  readonly coreCrc: number;
  /** The core's memory after the tick in which arming began; the inputs in it are those of the tick that follows. */
  readonly memory: Uint8Array;
  readonly ticks: readonly Tick[];
}

const HEAD_BYTES = 12;
const PATCH_BYTES = 4;
/** Patches nearer to each other than this are one. */
const JOIN = PATCH_BYTES;

const offsetIn = (block: typeof OUTPUTS, name: string): number =>
  block.address + place(block).find(({ field }) => field.name === name)!.offset;
const TOP_AT = offsetIn(OUTPUTS, "top");
const TIME_AT = offsetIn(LIVE, "timeUs");

const viewOf = (bytes: Uint8Array): DataView => new DataView(bytes.buffer, bytes.byteOffset, bytes.length);

/** What the ticks are coded against: the tick that ended as the memory was kept. */
function beforeIn(memory: Uint8Array): { first: Tick; period: number } {
  const view = viewOf(memory);
  return { first: tickIn(view, view.getUint32(TIME_AT, true)), period: view.getUint16(TOP_AT, true) + 1 };
}

/** Stretches in which a memory is not as it is when the core is made. */
function patches(memory: Uint8Array, fresh: Uint8Array): { from: number; to: number }[] {
  const found: { from: number; to: number }[] = [];
  for (let at = 0; at < CORE_BYTES; at++) {
    if (memory[at] === fresh[at]) continue;
    const last = found.at(-1);
    if (last && at - last.to < JOIN) last.to = at + 1;
    else found.push({ from: at, to: at + 1 });
  }
  return found;
}

/** The whole stream. `fresh`: memory of the same core as it is when it is made. */
export function streamBytes({ coreCrc, memory, ticks }: ExactRun, fresh: Uint8Array): Uint8Array {
  const all = patches(memory, fresh);
  const head = new Uint8Array(HEAD_BYTES);
  [coreCrc, ticks.length, all.length].forEach((word, i) => {
    viewOf(head).setUint32(4 * i, word, true);
  });
  const patched = all.map(({ from, to }) => {
    const bytes = new Uint8Array(PATCH_BYTES + to - from);
    viewOf(bytes).setUint16(0, from, true);
    viewOf(bytes).setUint16(2, to - from, true);
    bytes.set(memory.subarray(from, to), PATCH_BYTES);
    return bytes;
  });
  return Buffer.concat([head, ...patched, tickBytes(memory, ticks)]);
}

function tickBytes(memory: Uint8Array, ticks: readonly Tick[]): Uint8Array {
  const { first, period } = beforeIn(memory);
  const coder = new TickCoder(first, period);
  const writer = new BitWriter();
  for (const tick of ticks) coder.code(writer, copyOf(tick));
  return writer.end();
}

/** CRC-32C of the core that wrote a stream; undefined for what is too short to be one. */
export const coreCrcOf = (stream: Uint8Array): number | undefined =>
  stream.length < HEAD_BYTES ? undefined : viewOf(stream).getUint32(0, true);

/** Check sum of a core's module, as streams carry it. */
export const moduleCrc = (module: Uint8Array): number => crc32c(module);

/** Reads a stream. Throws a RangeError when it is not whole. `fresh` as for `streamBytes`. */
export function readStream(stream: Uint8Array, fresh: Uint8Array): ExactRun {
  const view = viewOf(stream);
  const [coreCrc, count, patchCount] = [0, 4, 8].map((at) => view.getUint32(at, true)) as [
    number,
    number,
    number,
  ];
  const memory = fresh.slice(0, CORE_BYTES);
  let at = HEAD_BYTES;
  for (let i = 0; i < patchCount; i++) {
    const [to, length] = [view.getUint16(at, true), view.getUint16(at + 2, true)];
    memory.set(stream.subarray(at + PATCH_BYTES, at + PATCH_BYTES + length), to);
    at += PATCH_BYTES + length;
  }
  return { coreCrc, memory, ticks: readTicks(memory, stream.subarray(at), count) };
}

function readTicks(memory: Uint8Array, bytes: Uint8Array, count: number): Tick[] {
  const { first, period } = beforeIn(memory);
  const coder = new TickCoder(first, period);
  const reader = new BitReader(bytes);
  return Array.from({ length: count }, () => {
    const tick = copyOf(first);
    coder.code(reader, tick);
    return tick;
  });
}
