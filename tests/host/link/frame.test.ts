// Frames and payloads: round trips, damage never passes, lengths hold, and the status block has no gaps.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { decodeFrame, encodeFrame, FRAME_MAX_BYTES } from "#host/link/frame.ts";
import { decodePayload, encodePayload } from "#host/link/payload.ts";
import { FrameSplitter } from "#host/link/splitter.ts";
import { COLUMNS, LIVE } from "#shared-schema/link/columns.ts";
import { MAX_PAYLOAD, MESSAGES, type Payload, packedBytes, REFUSAL } from "#shared-schema/link/messages.ts";
import { FIELD_BYTES } from "#shared-schema/model/layout.ts";
import { seal, unseal } from "./twin-frame.ts";

const byte = fc.integer({ min: 0, max: 255 });
const payload = fc.uint8Array({ maxLength: MAX_PAYLOAD });
const frame = fc.record({ sequence: byte, kind: byte, payload });

describe("frames", () => {
  test.prop([frame])("come back whole, with one zero at the end", (sent) => {
    const bytes = encodeFrame(sent);
    expect(bytes.indexOf(0)).toBe(bytes.length - 1);
    expect(bytes.length - 1).toBeLessThanOrEqual(FRAME_MAX_BYTES);
    expect(decodeFrame(bytes.subarray(0, -1))).toEqual(sent);
  });

  test.prop([frame])("are the same bytes as those of the independent twin", (sent) => {
    const body = [sent.sequence, sent.kind, ...sent.payload];
    expect([...encodeFrame(sent)]).toEqual(seal(body));
    expect(unseal([...encodeFrame(sent).subarray(0, -1)], 518)).toEqual(body);
  });

  test.prop([frame, fc.nat(), fc.integer({ min: 1, max: 255 })])(
    "one wrong byte never passes",
    (sent, at, flip) => {
      const bytes = encodeFrame(sent).subarray(0, -1);
      bytes[at % bytes.length]! ^= flip;
      expect(decodeFrame(bytes)).toBeUndefined();
    },
  );

  test.prop([frame, fc.nat()])("a cut frame never passes", (sent, at) => {
    const bytes = encodeFrame(sent);
    expect(decodeFrame(bytes.subarray(0, at % (bytes.length - 1)))).toBeUndefined();
  });

  test("a payload that is too long is the caller's mistake on the way out, and damage on the way in", () => {
    const long = new Uint8Array(MAX_PAYLOAD + 1);
    expect(() => encodeFrame({ sequence: 0, kind: 0, payload: long })).toThrow(RangeError);
    expect(decodeFrame(Uint8Array.from(seal([0, 0, ...long]).slice(0, -1)))).toBeUndefined();
  });
});

const payloads: [string, Payload][] = [
  ...MESSAGES.flatMap((m): [string, Payload][] => [
    [`${m.name} request`, m.request],
    [`${m.name} answer`, m.answer],
  ]),
  ["refusal", REFUSAL],
];
const ranges = {
  u8: [0, 255],
  u16: [0, 65535],
  i16: [-32768, 32767],
  u32: [0, 2 ** 32 - 1],
  i32: [-(2 ** 31), 2 ** 31 - 1],
};

function valuesFor(layout: Payload): fc.Arbitrary<Record<string, number | number[]>> {
  const fields = layout.fields.map(({ name, type, count }) => {
    const [min, max] = ranges[type] as [number, number];
    const one = fc.integer({ min, max });
    return [name, count === undefined ? one : fc.array(one, { minLength: count, maxLength: count })] as const;
  });
  return fc.record(Object.fromEntries(fields)) as fc.Arbitrary<Record<string, number | number[]>>;
}

describe.each(payloads)("%s", (_, layout) => {
  test.prop([valuesFor(layout), fc.uint8Array({ maxLength: layout.tail ?? 0 })])(
    "comes back",
    (values, tail) => {
      const bytes = encodePayload(layout, values, tail);
      expect(bytes.length).toBe(packedBytes(layout) + tail.length);
      expect(bytes.length).toBeLessThanOrEqual(MAX_PAYLOAD);
      expect(decodePayload(layout, bytes)).toEqual({ values: { ...values }, tail });
    },
  );

  test("refuses every other length", () => {
    const fixed = packedBytes(layout);
    const longest = fixed + (layout.tail ?? 0);
    for (const length of [fixed - 1, longest + 1].filter((n) => n >= 0))
      expect(decodePayload(layout, new Uint8Array(length))).toBeUndefined();
  });
});

test("the status block lies in memory as it is sent: every column on its natural place, no gap, no padding", () => {
  let at = 0;
  for (const column of COLUMNS) {
    expect([column.name, at % FIELD_BYTES[column.type]]).toEqual([column.name, 0]);
    at += FIELD_BYTES[column.type] * (column.count ?? 1);
  }
  expect(at).toBe(packedBytes({ fields: COLUMNS }));
  expect(LIVE.address % 4).toBe(0);
});

describe("splitter", () => {
  const chunks = fc.array(fc.uint8Array({ maxLength: 2000 }), { maxLength: 12 });

  test.prop([chunks])("gives the pieces between zeros, and never keeps more than a frame", (parts) => {
    const splitter = new FrameSplitter();
    const pieces: Uint8Array[] = [];
    splitter.on("data", (piece: Uint8Array) => pieces.push(piece));
    for (const part of parts) {
      splitter.write(part);
      expect(splitter.buffer.length).toBeLessThanOrEqual(FRAME_MAX_BYTES + 1);
    }
    if (splitter.overflow > 0) return;
    const all = Buffer.concat(parts);
    const expected = all.toString("latin1").split("\0").slice(0, -1);
    expect(pieces.map((piece) => Buffer.from(piece).toString("latin1"))).toEqual(expected);
  });

  test("10 kB without a zero are thrown away, and the next frame is taken", () => {
    const splitter = new FrameSplitter();
    const good: unknown[] = [];
    splitter.on("data", (piece: Uint8Array) => good.push(decodeFrame(piece)));
    splitter.write(new Uint8Array(10_000).fill(7));
    splitter.write(
      Uint8Array.from([7, 0, ...encodeFrame({ sequence: 1, kind: 2, payload: Uint8Array.of(3) })]),
    );
    expect(splitter.overflow).toBe(10_000);
    expect(good).toEqual([undefined, { sequence: 1, kind: 2, payload: Uint8Array.of(3) }]);
  });
});
