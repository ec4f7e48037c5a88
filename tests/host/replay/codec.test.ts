// The ticks that a core stores, as the host reads them: all inputs but those that nothing depends on, and what is cut or foreign is refused, never a hang.
import { fc, test } from "@fast-check/vitest";
import { expect } from "vitest";
import { crc32c } from "#host/codec/crc32c.ts";
import { BitReader } from "#host/replay/exact/bits.ts";
import { drainCodes } from "#host/replay/exact/drains.ts";
import { piecesOf } from "#host/replay/exact/pieces.ts";
import { putTick, type Tick, tickIn } from "#host/replay/exact/tick.ts";
import { TickReader } from "#host/replay/exact/tick-reader.ts";
import { LOG_PAGE } from "#shared-schema/link/columns.ts";
import { CORE_MEMORY_BYTES, INPUTS } from "#shared-schema/model/blocks.ts";
import { DRAIN_CODES } from "#shared-schema/model/drains.ts";
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

test.prop([anyTick, fc.uint8Array({ maxLength: 60 })], runs(200))(
  "random bits come to an end",
  (first, bytes) => {
    const reader = new BitReader(Buffer.concat([Uint8Array.of(0xff, 0), bytes]));
    const ticks = new TickReader(reader, first, PERIOD);
    expect(() => {
      for (let i = 0; i <= 8 * bytes.length; i++) ticks.next();
    }).toThrow(RangeError);
  },
);

test.prop([fc.nat(255), fc.array(fc.nat(7), { minLength: 8, maxLength: 8 }), fc.nat(4095)])(
  "drains come back on the side of each limit that a driver is judged by",
  (levels, unexpected, supply) => {
    const bits = unexpected.reduce((all, one, n) => all | (one << (3 * n)), 0);
    drainCodes(levels, bits, supply).forEach((code, n) => {
      const level = (levels >> n) & 1;
      const loads = level ^ 1 ^ (unexpected[n]! & 1);
      expect(code >= DRAIN_CODES.loaded).toBe(loads === 1);
      if (!loads) expect(code < DRAIN_CODES.conducting).toBe((level ^ ((unexpected[n]! >> 1) & 1)) === 1);
    });
  },
);

test.prop(
  [fc.array(fc.uint8Array({ minLength: LOG_PAGE.bytes, maxLength: LOG_PAGE.bytes }), { maxLength: 4 })],
  runs(200),
)("pages of anything, with a right check sum, are pieces or none, never a hang", (pages) => {
  for (const [n, page] of pages.entries()) {
    const view = new DataView(page.buffer, page.byteOffset, page.length);
    view.setUint16(0, LOG_PAGE.ticksMagic, true);
    page[3] = n === 0 ? LOG_PAGE.piece : 0;
    view.setUint16(LOG_PAGE.numberAt, n, true);
    view.setUint32(LOG_PAGE.crcAt, crc32c(page.subarray(0, LOG_PAGE.crcAt)), true);
  }
  expect(piecesOf(pages).length).toBeLessThanOrEqual(1);
});
