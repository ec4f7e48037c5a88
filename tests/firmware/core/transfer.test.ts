// A transfer of settings, refusal by refusal: what must be the same from beginning to commit, and what is never stored.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { crc32c } from "#host/codec/crc32c.ts";
import type { Values } from "#host/link/payload.ts";
import { FINGERPRINT } from "#shared-schema/generated/fingerprint.ts";
import { REFUSALS, TRANSFER_UNIT } from "#shared-schema/link/messages.ts";
import { type Document, pack, toBytes } from "#shared-schema/settings/pack.ts";
import { CoreRefused, Device } from "../../oracle/device.ts";
import { smallSettings, standingCar } from "../../oracle/stand.ts";
import { runs } from "../../support/effort.ts";

const held = toBytes(pack(smallSettings() as unknown as Document));
const other = smallSettings((s) => {
  s.flow.frequencyHz = 25;
});
const block = toBytes(pack(other as unknown as Document));
const { length } = block;
const crc = crc32c(block);
const WHOLE: Values = { id: 7, crc, fingerprint: FINGERPRINT, length };
const EVERY = 20 * TRANSFER_UNIT;

const standing = (): Device => new Device(standingCar(smallSettings()).rig);

function reasonOf(ask: () => unknown): unknown {
  try {
    ask();
    return 0;
  } catch (error) {
    if (error instanceof CoreRefused) return error.refusal.reason;
    throw error;
  }
}

const begin = (device: Device, changes: Values = {}): Values =>
  device.ask("writeBegin", { ...WHOLE, ...changes }).values;
const piece = (device: Device, offset: number, bytes: Uint8Array, id = 7): Values =>
  device.ask("writeData", { id, offset }, Uint8Array.from(bytes)).values;
const commit = (device: Device, id = 7): Values => device.ask("writeCommit", { id, boardNumber: 0 }).values;

function send(device: Device, bytes = block, but = -1): void {
  for (let offset = 0; offset < length; offset += EVERY)
    if (offset !== but) piece(device, offset, bytes.subarray(offset, Math.min(length, offset + EVERY)));
}

/** How many units an answer says are there. */
function unitsIn({ have }: Values): number {
  return [...(have as number[])].reduce((sum, byte) => sum + byte.toString(2).replaceAll("0", "").length, 0);
}

describe("a transfer", () => {
  test("that is stored is answered with its number, and with what hello says of the slot from then on", () => {
    const device = standing();
    begin(device);
    send(device);
    expect(device.ask("hello").values).toMatchObject({ settingsSequence: 1, slot: 1 });
    expect(commit(device)).toEqual({ id: 7, sequence: 2, slot: 2 });
    expect(device.ask("hello").values).toMatchObject({ settingsSequence: 2, slot: 2 });
  });

  test("is begun for this schema, with its length, and a number", () => {
    const device = standing();
    expect(reasonOf(() => begin(device, { fingerprint: (FINGERPRINT ^ 1) >>> 0 }))).toBe(
      REFUSALS.wrongSchema,
    );
    expect(reasonOf(() => begin(device, { length: length - 1 }))).toBe(REFUSALS.badValue);
    expect(reasonOf(() => begin(device, { length: length + 1 }))).toBe(REFUSALS.badValue);
    expect(reasonOf(() => begin(device, { id: 0 }))).toBe(REFUSALS.badValue);
    expect(reasonOf(() => send(device))).toBe(REFUSALS.noTransfer);
    expect(reasonOf(() => commit(device, 0))).toBe(REFUSALS.noTransfer);
  });

  test("goes on when number and check sum are the same, and begins anew when either is not", () => {
    const device = standing();
    begin(device);
    piece(device, 0, block.subarray(0, EVERY));
    expect(unitsIn(begin(device))).toBe(20);
    expect(unitsIn(begin(device, { crc: crc ^ 1 }))).toBe(0);
    begin(device);
    piece(device, 0, block.subarray(0, EVERY));
    expect(unitsIn(begin(device, { id: 8 }))).toBe(0);
    expect(reasonOf(() => piece(device, 0, block.subarray(0, EVERY)))).toBe(REFUSALS.noTransfer);
  });

  test("takes whole units within the block", () => {
    const device = standing();
    begin(device);
    const bytes = new Uint8Array(TRANSFER_UNIT);
    expect(reasonOf(() => piece(device, 1, bytes))).toBe(REFUSALS.badValue);
    expect(reasonOf(() => piece(device, 0, bytes.subarray(1)))).toBe(REFUSALS.badValue);
    expect(reasonOf(() => piece(device, Math.ceil(length / TRANSFER_UNIT) * TRANSFER_UNIT, bytes))).toBe(
      REFUSALS.badValue,
    );
    expect(unitsIn(begin(device))).toBe(0);
    const last = Math.floor((length - 1) / TRANSFER_UNIT) * TRANSFER_UNIT;
    expect(unitsIn(piece(device, last, block.subarray(last)))).toBe(1);
    expect(unitsIn(piece(device, last, block.subarray(last)))).toBe(1);
  });

  test.prop([fc.integer({ min: 0, max: Math.ceil(length / EVERY) - 1 })], runs(100))(
    "with a gap is not stored, and goes on from there",
    (gap) => {
      const device = standing();
      begin(device);
      send(device, block, gap * EVERY);
      expect(reasonOf(() => commit(device))).toBe(REFUSALS.incomplete);
      expect(device.read(length)).toEqual(held);
      piece(device, gap * EVERY, block.subarray(gap * EVERY, Math.min(length, (gap + 1) * EVERY)));
      expect(reasonOf(() => commit(device))).toBe(0);
      expect(device.read(length)).toEqual(block);
      expect(reasonOf(() => commit(device))).toBe(REFUSALS.noTransfer);
    },
  );

  test("a piece that comes again does not stand in for one that is missing", () => {
    const device = standing();
    begin(device);
    send(device, block, EVERY);
    piece(device, 0, block.subarray(0, EVERY));
    expect(reasonOf(() => commit(device))).toBe(REFUSALS.incomplete);
  });

  test.prop([fc.integer({ min: 0, max: length * 8 - 1 })], runs(100))(
    "with a wrong bit is never stored",
    (bit) => {
      const device = standing();
      const wrong = block.slice();
      wrong[bit >> 3]! ^= 1 << (bit & 7);
      begin(device);
      send(device, wrong);
      expect(reasonOf(() => commit(device))).toBe(REFUSALS.badCrc);
      expect(device.read(length)).toEqual(held);
    },
  );
});
