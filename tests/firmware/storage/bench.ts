// A core that is started, loaded, cut off and started again thousands of times a second, over the frames of its link.
import type { CoreRig } from "#host/bench/core/rig.ts";
import { crc32c } from "#host/codec/crc32c.ts";
import { decodeFrame, encodeFrame } from "#host/link/frame.ts";
import { decodePayload, encodePayload, numberOf, type Values } from "#host/link/payload.ts";
import { FINGERPRINT } from "#shared-schema/generated/fingerprint.ts";
import { ANSWER_BIT, MESSAGES, type Message, QUIET_PASSES } from "#shared-schema/link/messages.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";
import { coreOn } from "../../support/core.ts";
import { FailingFlash, type Image } from "../../support/failing-flash.ts";
import { Random } from "../../support/random.ts";

/** Where the slots of settings lie. */
export const SLOTS_FROM = FLASH.slotA;
export const SLOTS_TO = FLASH.slotA + FLASH.slotCount * FLASH.sector;
const PIECE = 480;
/** Passes of the main loop in which nothing comes over the line: enough for all slow work on the slots. */
const IDLE_PASSES = QUIET_PASSES + 8;

function messageOf(name: string): Message {
  return MESSAGES.find((message) => message.name === name)!;
}

function frame(sequence: number, name: string, values: Values, tail?: Uint8Array): Uint8Array {
  const message = messageOf(name);
  return encodeFrame({ sequence, kind: message.kind, payload: encodePayload(message.request, values, tail) });
}

/** A settings block with the frames that load it. */
export interface Load {
  readonly block: Uint8Array;
  readonly crc: number;
  readonly frames: readonly Uint8Array[];
  readonly commit: Uint8Array;
  /** Number that it offers a board without one. */
  readonly number: number;
}

/** Makes the frames of a load; `sequence` tells loads of one session apart. */
export function loadOf(block: Uint8Array, sequence: number, number = 0): Load {
  const crc = crc32c(block);
  const id = crc || 1;
  const frames = [frame(sequence, "writeBegin", { id, crc, fingerprint: FINGERPRINT, length: block.length })];
  for (let offset = 0; offset < block.length; offset += PIECE) {
    frames.push(frame(sequence, "writeData", { id, offset }, block.subarray(offset, offset + PIECE)));
  }
  const commit = frame(sequence, "writeCommit", { id, boardNumber: number });
  return { block, crc, frames, commit, number };
}

/** Asks who is there. */
export const HELLO = frame(0, "hello", {});

/** The requests that read a whole block of so many bytes. */
export function readFrames(bytes: number): { offset: number; length: number; request: Uint8Array }[] {
  return Array.from({ length: Math.ceil(bytes / PIECE) }, (_, i) => {
    const offset = i * PIECE;
    const length = Math.min(PIECE, bytes - offset);
    return { offset, length, request: frame(0, "read", { offset, length }) };
  });
}

/** The same requests, and the answers when the block is `block`. */
function answersFor(block: Uint8Array): { request: Uint8Array; answer: Uint8Array }[] {
  const { kind, answer } = messageOf("read");
  return readFrames(block.length).map(({ offset, length, request }) => {
    const payload = encodePayload(answer, { offset }, block.subarray(offset, offset + length));
    return { request, answer: encodeFrame({ sequence: 0, kind: kind | ANSWER_BIT, payload }) };
  });
}

/** One core on one flash chip. */
export class StorageBench {
  readonly flash = new FailingFlash(new Random(1));
  private readonly rig: CoreRig = coreOn(this.flash);
  private readonly fresh: Uint8Array;
  private readonly memory: Uint8Array;
  private readonly hellos = new Map<string, Values>();
  private readonly answers = new Map<Uint8Array, ReturnType<typeof answersFor>>();

  constructor() {
    this.memory = new Uint8Array(this.rig.core.memory.buffer);
    this.fresh = this.memory.slice();
    this.flash.soundUpTo = SLOTS_FROM;
  }

  /** The supply comes back: memory as after a reset, then the start. */
  powerOn(): void {
    this.memory.set(this.fresh);
    this.rig.start();
  }

  /** The main loop runs on with nothing on the line. */
  idle(passes = IDLE_PASSES): void {
    this.rig.idle(passes);
  }

  /** Sends one request; its answer's payload. Throws when anything but that answer comes. */
  private ask(name: string, bytes: Uint8Array): Uint8Array {
    const sent = this.rig.exchange(bytes);
    const answer = decodeFrame(sent.subarray(0, -1));
    if (answer?.kind !== (messageOf(name).kind | ANSWER_BIT)) {
      throw new Error(`no answer to ${name} but ${sent.join(" ")}`);
    }
    return answer.payload;
  }

  /** Answers are few and taken apart once each: the same bytes say the same. */
  hello(): Values {
    const sent = this.rig.exchange(HELLO);
    const key = Buffer.from(sent).toString("latin1");
    const known = this.hellos.get(key);
    if (known) return known;
    const { values } = decodePayload(messageOf("hello").answer, this.ask("hello", HELLO))!;
    this.hellos.set(key, values);
    return values;
  }

  /** Loads settings up to the commit, which is still to be sent. */
  send({ frames }: Load): void {
    frames.forEach((bytes, i) => {
      this.ask(i === 0 ? "writeBegin" : "writeData", bytes);
    });
  }

  /** Commits; sequence number that the core stored them under. */
  commit({ commit }: Load): number {
    const payload = this.ask("writeCommit", commit);
    return numberOf(decodePayload(messageOf("writeCommit").answer, payload)!.values, "sequence");
  }

  /** Does the core give back exactly this block? */
  holds(block: Uint8Array): boolean {
    const expected = this.answers.get(block) ?? answersFor(block);
    this.answers.set(block, expected);
    return expected.every(({ request, answer }) => Buffer.compare(this.rig.exchange(request), answer) === 0);
  }

  save(): Image {
    return this.flash.save(SLOTS_FROM, SLOTS_TO);
  }

  restore(image: Image): void {
    this.flash.restore(SLOTS_FROM, image);
  }
}
