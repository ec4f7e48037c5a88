// The link of a core rig in one call: a request goes in as a frame, the answer comes out as values.
import type { CoreRig } from "#host/bench/core/rig.ts";
import { crc32c } from "#host/codec/crc32c.ts";
import { decodeFrame, encodeFrame, type Frame } from "#host/link/frame.ts";
import { decodePayload, encodePayload, type Values } from "#host/link/payload.ts";
import { FINGERPRINT } from "#shared-schema/generated/fingerprint.ts";
import { ANSWER_BIT, MESSAGES, type Message, REFUSAL, REFUSAL_KIND } from "#shared-schema/link/messages.ts";
import { toBytes } from "#shared-schema/settings/pack.ts";

const PIECE = 480;

/** A request that the core refused, with its reason number. */
export class CoreRefused extends Error {
  readonly refusal: Values;

  constructor(message: Message, refusal: Values) {
    super(`${message.name} refused: ${JSON.stringify(refusal)}`);
    this.refusal = refusal;
  }
}

/** Message of the table by name. Throws on an unknown name. */
export function message(name: string): Message {
  const found = MESSAGES.find((m) => m.name === name);
  if (!found) throw new Error(`no message ${name}`);
  return found;
}

/** All whole frames in what the core sent. Throws on a damaged one: the core must not send such. */
export function framesOf(sent: Uint8Array): Frame[] {
  const frames: Frame[] = [];
  for (let at = 0; at < sent.length; ) {
    const end = sent.indexOf(0, at);
    if (end < 0) throw new Error("the core sent a frame without its end");
    if (end > at) {
      const frame = decodeFrame(sent.subarray(at, end));
      if (!frame) throw new Error("the core sent a damaged frame");
      frames.push(frame);
    }
    at = end + 1;
  }
  return frames;
}

/** Speaks to one core. */
export class Device {
  readonly rig: CoreRig;
  private sequence = 0;

  constructor(rig: CoreRig) {
    this.rig = rig;
  }

  /** Sends a request and takes its answer apart. Throws `CoreRefused`, and an Error when anything else comes back. */
  ask(
    name: string,
    values: Values = {},
    tail: Uint8Array<ArrayBuffer> = new Uint8Array(),
  ): { values: Values; tail: Uint8Array } {
    this.sequence = (this.sequence + 1) & 0xff;
    const asked = message(name);
    const payload = encodePayload(asked.request, values, tail);
    const [frame, ...more] = framesOf(
      this.rig.exchange(encodeFrame({ sequence: this.sequence, kind: asked.kind, payload })),
    );
    if (!frame || more.length > 0 || frame.sequence !== this.sequence)
      throw new Error(`no single answer to ${name}`);
    if (frame.kind === REFUSAL_KIND)
      throw new CoreRefused(asked, decodePayload(REFUSAL, frame.payload)?.values ?? {});
    const decoded = decodePayload(asked.answer, frame.payload);
    if (frame.kind !== (asked.kind | ANSWER_BIT) || !decoded) throw new Error(`wrong answer to ${name}`);
    return decoded;
  }

  /** Transfers a block up to, but without, its commit; the number of the transfer is returned. */
  transfer(words: Uint16Array, fingerprint = FINGERPRINT): number {
    const block = toBytes(words);
    const crc = crc32c(block);
    const id = crc || 1;
    this.ask("writeBegin", { id, crc, fingerprint, length: block.length });
    for (let offset = 0; offset < block.length; offset += PIECE)
      this.ask("writeData", { id, offset }, block.slice(offset, offset + PIECE));
    return id;
  }

  /** Stores a settings block: transfer and commit. */
  store(words: Uint16Array): Values {
    return this.ask("writeCommit", { id: this.transfer(words), boardNumber: 0 }).values;
  }

  /** The active settings, read back in pieces. */
  read(bytes: number): Uint8Array {
    const out = new Uint8Array(bytes);
    for (let offset = 0; offset < bytes; offset += PIECE)
      out.set(this.ask("read", { offset, length: Math.min(PIECE, bytes - offset) }).tail, offset);
    return out;
  }
}
