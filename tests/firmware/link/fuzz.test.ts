// Hostile frames into the core: nothing traps, nothing changes but the link's own buffers, each bad frame is counted, and a
// good request afterwards is answered. What is a frame is told by the host's decoder, written apart from the core's.
import { afterAll, describe, expect, test } from "vitest";
import { cobsEncode } from "#host/codec/cobs.ts";
import { crc32c } from "#host/codec/crc32c.ts";
import { decodeFrame, encodeFrame, type Frame } from "#host/link/frame.ts";
import { LIVE } from "#shared-schema/link/columns.ts";
import {
  ANSWER_BIT,
  MAX_PAYLOAD,
  MESSAGES,
  packedBytes,
  REFUSAL_KIND,
  REFUSALS,
} from "#shared-schema/link/messages.ts";
import { CORE_DATA_ADDRESS, LINK_RX, LINK_TX, LOG_RING } from "#shared-schema/model/blocks.ts";
import { MODES } from "#shared-schema/model/interlocks.ts";
import { place } from "#shared-schema/model/layout.ts";
import type { Car } from "../../oracle/car.ts";
import { framesOf } from "../../oracle/device.ts";
import { arm, flowingCar, fullSettings, modeOf, smallSettings, standingCar } from "../../oracle/stand.ts";
import { HUGE, hostileBytes, piecesOf, rightFrame } from "../../support/frame-fuzz.ts";
import { Random } from "../../support/random.ts";

const BATCHES = process.env.CI ? 8_000 : 60;
const PER_BATCH = 100;
const HELLO = encodeFrame({ sequence: 77, kind: 1, payload: new Uint8Array() });
/** Buffer for a frame each way, their stuffed forms, and the handler's few words. */
const FRAME_ROOM = 528;
const WORDS_ROOM = 64;
const BAD_FRAMES_AT = LIVE.address + place(LIVE).find(({ field }) => field.name === "badFrames")!.offset;

let tried = 0;
afterAll(() => void process.stdout.write(`core: ${tried} hostile inputs tried\n`));

/** A core, what its memory was, and which of its bytes have ever changed. */
class Victim {
  readonly car: Car;
  readonly changed: Uint8Array;
  private readonly memory: Uint8Array;
  private readonly words: Uint32Array;
  private readonly before: Uint32Array;

  constructor(car: Car) {
    this.car = car;
    const { buffer } = car.rig.core.memory;
    this.memory = new Uint8Array(buffer);
    this.words = new Uint32Array(buffer);
    this.before = this.words.slice();
    this.changed = new Uint8Array(this.words.length);
  }

  get badFrames(): number {
    return this.memory[BAD_FRAMES_AT]! | (this.memory[BAD_FRAMES_AT + 1]! << 8);
  }

  send(bytes: Uint8Array): Frame[] {
    tried++;
    return framesOf(this.car.rig.exchange(bytes));
  }

  /** Notes what has changed, and puts it back. */
  settle(): void {
    for (let i = 0; i < this.words.length; i++) if (this.words[i] !== this.before[i]) this.changed[i] = 1;
    this.words.set(this.before);
    this.car.rig.requests.length = 0;
  }

  /** Bytes changed outside the two stuffed buffers, as a number and as ranges. */
  get elsewhere(): { bytes: number; ranges: number; above: boolean; blocks: boolean } {
    let [bytes, ranges] = [0, 0];
    const at = (i: number): boolean => this.changed[i] === 1 && !inBuffers(4 * i);
    for (let i = 0; i < this.changed.length; i++) {
      if (!at(i)) continue;
      bytes += 4;
      if (!at(i - 1)) ranges++;
    }
    const some = (from: number, to: number): boolean =>
      this.changed.some((is, i) => is === 1 && 4 * i >= from && 4 * i < to && !inBuffers(4 * i));
    return {
      bytes,
      ranges,
      above: some(LOG_RING.address, 4 * this.changed.length),
      blocks: some(0, BAD_FRAMES_AT & ~3) || some((BAD_FRAMES_AT & ~3) + 4, CORE_DATA_ADDRESS),
    };
  }
}

const inBuffers = (at: number): boolean =>
  (at >= LINK_RX.address && at < LINK_RX.address + LINK_RX.room) ||
  (at >= LINK_TX.address && at < LINK_TX.address + LINK_TX.room);

/** Victims whose controller is off, armed and flowing. */
function victims(): [name: string, make: () => Victim][] {
  const settings = fullSettings();
  return [
    ["off", () => new Victim(standingCar(settings))],
    ["armed", () => new Victim(arm(standingCar(settings)))],
    ["flowing", () => new Victim(flowingCar(smallSettings()))],
  ];
}

function expectHello(victim: Victim): void {
  const [answer] = victim.send(HELLO);
  expect([answer?.sequence, answer?.kind]).toEqual([77, 1 | ANSWER_BIT]);
}

describe("below the check sum", () => {
  test.each(victims())(
    "%s: what the host's decoder does not take changes nothing, and is counted",
    (name, make) => {
      const victim = make();
      const random = new Random(name.length);
      for (let batch = 0; batch < BATCHES / 3; batch++) {
        for (let n = 0; n < PER_BATCH; n++) {
          const bytes = hostileBytes(random);
          const pieces = piecesOf(bytes);
          if (pieces.some((piece) => decodeFrame(piece) !== undefined)) continue;
          const before = victim.badFrames;
          expect(victim.send(bytes)).toEqual([]);
          expect((victim.badFrames - before) & 0xffff).toBe(pieces.length);
        }
        expectHello(victim);
        victim.settle();
      }
      const { bytes, ranges, above, blocks } = victim.elsewhere;
      expect([above, blocks]).toEqual([false, false]);
      expect(bytes).toBeLessThanOrEqual(2 * FRAME_ROOM + WORDS_ROOM);
      expect(ranges).toBeLessThanOrEqual(6);
    },
  );
});

describe("above the check sum", () => {
  test.each(victims().slice(1))(
    "%s: any request in a right frame is answered or refused, and changes nothing",
    (name, make) => {
      const victim = make();
      const random = new Random(50 + name.length);
      for (let batch = 0; batch < BATCHES; batch++) {
        for (let n = 0; n < PER_BATCH; n++) expectAnswer(victim, rightFrame(random));
        expectHello(victim);
        victim.settle();
      }
      expect(modeOf(victim.car)).toBe(name);
      const { bytes, above, blocks } = victim.elsewhere;
      expect([above, blocks]).toEqual([false, false]);
      expect(bytes).toBeLessThanOrEqual(2 * FRAME_ROOM + 2 * WORDS_ROOM);
    },
  );

  test("off: any request in a right frame is answered or refused, and the settings stay", () => {
    const victim = new Victim(standingCar(fullSettings()));
    const random = new Random(99);
    const before = victim.send(HELLO)[0]!.payload;
    for (let batch = 0; batch < BATCHES; batch++) {
      for (let n = 0; n < PER_BATCH; n++) expectAnswer(victim, rightFrame(random));
      const after = victim.send(HELLO)[0]!.payload.with(37, before[37]!);
      expect(after).toEqual(before);
    }
    expect(["off", "service"]).toContain(MODES[victim.send(HELLO)[0]!.payload[37]!]);
  });
});

/** One answer, with the number of its request; its kind and length fit. */
function expectAnswer(victim: Victim, bytes: Uint8Array): void {
  const request = decodeFrame(bytes.subarray(0, -1))!;
  const answers = victim.send(bytes);
  if (answers.length !== 1 || answers[0]!.sequence !== request.sequence)
    throw new Error(`no answer to ${bytes}`);
  const [answer] = answers as [Frame];
  if (answer.kind === REFUSAL_KIND) {
    const known = Object.values(REFUSALS).some((reason) => reason === answer.payload[1]);
    if (answer.payload[0] !== request.kind || !known) throw new Error(`wrong refusal of ${bytes}`);
    return;
  }
  const message = MESSAGES.find(({ kind }) => (kind | ANSWER_BIT) === answer.kind);
  const fixed = message ? packedBytes(message.answer) : Number.NaN;
  const right =
    answer.payload.length >= fixed && answer.payload.length <= fixed + (message?.answer.tail ?? 0);
  if (message?.kind !== request.kind || !right) throw new Error(`wrong answer to ${bytes}`);
}

describe("cut and oversized", () => {
  test("every message cut at every byte is one damaged frame, and the next is answered", () => {
    const victim = new Victim(standingCar(fullSettings()));
    for (const { kind, request } of MESSAGES) {
      const payload = new Uint8Array(packedBytes(request) + (request.tail === undefined ? 0 : 300)).fill(3);
      const bytes = encodeFrame({ sequence: 5, kind, payload });
      for (let length = 1; length < bytes.length - 1; length++) {
        const before = victim.badFrames;
        expect(victim.send(Uint8Array.from([...bytes.subarray(0, length), 0]))).toEqual([]);
        expect((victim.badFrames - before) & 0xffff).toBe(1);
      }
      expectHello(victim);
    }
  });

  test("a frame one byte too long is one damaged frame, the longest is refused for its kind", () => {
    const victim = new Victim(standingCar(fullSettings()));
    const longest = encodeFrame({ sequence: 5, kind: 0x7f, payload: new Uint8Array(MAX_PAYLOAD).fill(1) });
    expect(victim.send(longest)[0]?.payload[1]).toBe(REFUSALS.unknownKind);
    const before = victim.badFrames;
    expect(victim.send(new Uint8Array(HUGE).fill(255).with(HUGE - 1, 0))).toEqual([]);
    expect(victim.badFrames - before).toBe(1);
    expectHello(victim);
  });

  test("the longest frame with anything behind it before its zero is damaged", () => {
    const victim = new Victim(standingCar(fullSettings()));
    const body = new Uint8Array(MAX_PAYLOAD + 6).fill(1);
    new DataView(body.buffer).setUint32(MAX_PAYLOAD + 2, crc32c(body.subarray(0, MAX_PAYLOAD + 2)), true);
    const framed = (more: number[]): Uint8Array =>
      Uint8Array.from([...cobsEncode(Uint8Array.from([...body, ...more])), 0]);
    expect(victim.send(framed([]))).toHaveLength(1);
    const before = victim.badFrames;
    expect(victim.send(framed([1, 2, 3]))).toEqual([]);
    expect(victim.badFrames - before).toBe(1);
  });
});
