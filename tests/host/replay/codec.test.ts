// The bits of an exact stream: whatever a core reads comes back the same, and what is cut or foreign is refused, never a hang.
import { fc, test } from "@fast-check/vitest";
import { expect } from "vitest";
import { MOST_BYTES } from "#host/logbook/run-file/chunk.ts";
import { exactChunks, exactOf } from "#host/logbook/run-file/exact-stream.ts";
import { BitReader, BitWriter, flag, middling, small } from "#host/replay/exact/bits.ts";
import { TickCoder } from "#host/replay/exact/coder.ts";
import { putTick, type Tick, tickIn } from "#host/replay/exact/tick.ts";
import { CORE_MEMORY_BYTES, INPUTS } from "#shared-schema/model/blocks.ts";
import { blockBytes, FIELD_BYTES, place } from "#shared-schema/model/layout.ts";
import { runs } from "../../support/effort.ts";

const PERIOD = 25_000;
const u32 = fc.oneof(fc.nat(3), fc.integer({ min: 0, max: 0xffff_ffff }), fc.constant(0xffff_ffff));
const u16 = fc.oneof(fc.nat(3), fc.nat(0xffff));
const code = fc.oneof(fc.integer({ min: 2000, max: 2005 }), fc.nat(4095));
const eight = fc.array(code, { minLength: 8, maxLength: 8 });
const train = fc.record({ pulses: u32, edgeUs: u32, periodUs: u32 });
const anyTick: fc.Arbitrary<Tick> = fc.record({
  nowUs: u32,
  switches: u32,
  armCuts: u32,
  engine: train,
  road: train,
  adcA: eight,
  adcB: eight,
  solenoidPins: fc.nat(255),
  adcMissing: u16,
  adcRounds: u16,
  phase: fc.array(fc.nat(PERIOD - 1), { minLength: 4, maxLength: 4 }),
});

const IN_BYTES = blockBytes(INPUTS);
/** Nothing that the core decides depends on them: they are passed on to live values and the link. */
const LEFT_OUT = ["loopUs", "rxLost"];

test.prop([fc.uint8Array({ minLength: IN_BYTES, maxLength: IN_BYTES })])(
  "a tick holds all inputs but those that nothing depends on",
  (bytes) => {
    const [from, to] = [new Uint8Array(CORE_MEMORY_BYTES), new Uint8Array(CORE_MEMORY_BYTES)];
    from.set(bytes, INPUTS.address);
    putTick(new DataView(to.buffer), tickIn(new DataView(from.buffer), 0));
    for (const { field, offset } of place(INPUTS)) {
      const length = FIELD_BYTES[field.type] * (field.count ?? 1);
      const of = (memory: Uint8Array): Uint8Array =>
        memory.slice(INPUTS.address + offset, INPUTS.address + offset + length);
      const wanted = LEFT_OUT.includes(field.name) ? new Uint8Array(length) : of(from);
      expect([field.name, of(to)]).toEqual([field.name, wanted]);
    }
  },
);

test.prop([anyTick, fc.array(anyTick, { maxLength: 12 })], runs(200))(
  "any ticks come back as they were",
  (first, ticks) => {
    const writer = new BitWriter();
    const write = new TickCoder(first, PERIOD);
    for (const tick of ticks) write.code(writer, structuredClone(tick));
    const reader = new BitReader(writer.end());
    const read = new TickCoder(first, PERIOD);
    for (const tick of ticks) {
      const back = structuredClone(first);
      read.code(reader, back);
      expect(back).toEqual(tick);
    }
  },
);

test.prop([anyTick, fc.uint8Array({ maxLength: 60 })], runs(200))(
  "random bytes come to an end",
  (first, bytes) => {
    const reader = new BitReader(bytes);
    const coder = new TickCoder(first, PERIOD);
    expect(() => {
      for (let i = 0; i <= 8 * bytes.length; i++) coder.code(reader, structuredClone(first));
    }).toThrow(RangeError);
  },
);

test.prop([fc.array(fc.tuple(fc.integer({ min: -4096, max: 4095 }), fc.integer(), fc.boolean()))])(
  "numbers come back, small ones in few bits",
  (numbers) => {
    const writer = new BitWriter();
    for (const [a, b, c] of numbers) {
      small(writer, a);
      middling(writer, b);
      flag(writer, c);
    }
    const reader = new BitReader(writer.end());
    for (const [a, b, c] of numbers) {
      expect(small(reader, 0)).toBe(a);
      expect(middling(reader, 0)).toBe(b);
      expect(flag(reader, false)).toBe(c);
    }
    const quiet = new BitWriter();
    small(quiet, 0);
    expect(quiet.length).toBe(1);
  },
);

test.prop([fc.integer({ min: 1, max: 3 * MOST_BYTES }), fc.nat(3)], { numRuns: 30 })(
  "a stream in chunks of a run file comes back, and not when one is missing or in another place",
  (length, n) => {
    const stream = new Uint8Array(length).map((_, i) => i * 7);
    const chunks = exactChunks(stream).map(({ bytes }) => bytes);
    expect(chunks.every((bytes) => bytes.length <= MOST_BYTES)).toBe(true);
    expect(Buffer.compare(exactOf(chunks)!, stream)).toBe(0);
    const at = n % chunks.length;
    expect(exactOf([...chunks.slice(0, at), ...chunks.slice(at + 1)])).toBeUndefined();
    if (chunks.length > 1) expect(exactOf([...chunks].reverse())).toBeUndefined();
  },
);
