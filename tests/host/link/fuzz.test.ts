// Hostile bytes into the host's splitter, frame decoder and payload codec: no exception, bounded memory, and the next good
// frame comes through.
import { afterAll, describe, expect, test } from "vitest";
import { decodeFrame, encodeFrame, FRAME_MAX_BYTES, type Frame } from "#host/link/frame.ts";
import { decodePayload, encodePayload } from "#host/link/payload.ts";
import { FrameSplitter } from "#host/link/splitter.ts";
import { MESSAGES, type Payload, packedBytes, REFUSAL } from "#shared-schema/link/messages.ts";
import { hostileBytes, rightFrame } from "../../support/frame-fuzz.ts";
import { Random } from "../../support/random.ts";

const TRIES = process.env.CI ? 400_000 : 10_000;
const PER_STREAM = 200;
const GOOD = encodeFrame({ sequence: 9, kind: 0x81, payload: Uint8Array.of(1, 0, 2) });

let tried = 0;
afterAll(() => void process.stdout.write(`host: ${tried} hostile inputs tried\n`));

/** Frames that come out of a splitter for bytes in chunks of any size. */
async function framesFrom(splitter: FrameSplitter, bytes: Uint8Array, random: Random): Promise<Frame[]> {
  const frames: Frame[] = [];
  const take = (piece: Uint8Array): void => {
    const frame = decodeFrame(piece);
    if (frame) frames.push(frame);
  };
  splitter.on("data", take);
  for (let at = 0; at < bytes.length; ) {
    const chunk = bytes.subarray(at, at + random.pick([1, 7, 64, 5000]));
    await new Promise<void>((done) => splitter.write(chunk, () => done()));
    at += chunk.length;
  }
  splitter.off("data", take);
  return frames;
}

describe("the splitter and the decoder", () => {
  test("let every good frame through after whatever came before, and hold no more than a frame", async () => {
    const random = new Random(3);
    for (let n = 0; n < TRIES / PER_STREAM / 10; n++) {
      const splitter = new FrameSplitter();
      for (let i = 0; i < PER_STREAM; i++) {
        tried++;
        const bytes = hostileBytes(random);
        const frames = await framesFrom(splitter, Uint8Array.from([...bytes, ...GOOD]), random);
        expect(frames.at(-1)).toMatchObject({ sequence: 9, kind: 0x81 });
        expect(splitter.readableLength).toBeLessThan(3);
      }
    }
  });

  test("garbage without an end is thrown away, not kept", async () => {
    const splitter = new FrameSplitter();
    await framesFrom(splitter, new Uint8Array(100_000).fill(7), new Random(1));
    expect(splitter.overflow).toBeGreaterThan(100_000 - 2 * FRAME_MAX_BYTES - 5000);
    expect(await framesFrom(splitter, Uint8Array.from([0, ...GOOD]), new Random(1))).toHaveLength(1);
  });
});

describe("the decoder", () => {
  test("takes nothing that is damaged: what it takes is, encoded again, what came, but for an empty last group", () => {
    const random = new Random(4);
    for (let n = 0; n < TRIES; n++) {
      tried++;
      const bytes = hostileBytes(random);
      const frame = decodeFrame(bytes.subarray(0, -1));
      if (!frame) continue;
      const plain = bytes.at(-2) === 1 ? Uint8Array.from([...bytes.subarray(0, -2), 0]) : bytes;
      const again = encodeFrame(frame);
      expect([bytes, plain].some((one) => Buffer.compare(one, again) === 0)).toBe(true);
    }
  });
});

describe("the payload codec", () => {
  const layouts: Payload[] = [REFUSAL, ...MESSAGES.flatMap(({ request, answer }) => [request, answer])];

  test("takes any bytes of a fitting length, gives the same back, and refuses any other length", () => {
    const random = new Random(5);
    for (let n = 0; n < TRIES; n++) {
      tried++;
      const layout = random.pick(layouts);
      const { payload } = decodeFrame(rightFrame(random).subarray(0, -1))!;
      const decoded = decodePayload(layout, payload);
      const fixed = packedBytes(layout);
      const fits = payload.length >= fixed && payload.length <= fixed + (layout.tail ?? 0);
      expect(decoded !== undefined).toBe(fits);
      if (decoded)
        expect(Buffer.compare(encodePayload(layout, decoded.values, decoded.tail), payload)).toBe(0);
    }
  });
});
