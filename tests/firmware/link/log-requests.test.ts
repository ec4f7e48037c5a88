// Requests for the stored log, over any bytes in its area: heads and pieces are those of the flash, and what lies outside is refused.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { REFUSALS } from "#shared-schema/link/messages.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";
import { CoreRefused, Device } from "../../oracle/device.ts";
import { freshCore } from "../../support/core.ts";
import { runs } from "../../support/effort.ts";
import { Random } from "../../support/random.ts";

/** By docs/storage.md: 256 sectors of records, then 220 of ticks, 16 pages each. */
const [RECORDS, TICKS] = [256 * 16, 220 * 16];
const PAGES = RECORDS + TICKS;
/** By docs/link.md: bytes of a head, and the most of what may be asked for. */
const [HEAD, MOST_HEADS, MOST_STRIDE, MOST_BYTES] = [16, 31, 4096, 508];
const AREA = PAGES * FLASH.page;

const rig = freshCore();
rig.start();
const random = new Random(7);
for (let at: number = FLASH.logStart; at < FLASH.logEnd; at++) rig.flash.bytes[at] = random.below(256);
const device = new Device(rig);
const log = rig.flash.bytes.subarray(FLASH.logStart, FLASH.logEnd);

/** A page further on, in the part of the log that the first page is in. */
function further(page: number, pages: number): number {
  return page < RECORDS ? (page + pages) % RECORDS : RECORDS + ((page - RECORDS + pages) % TICKS);
}

const near = (...places: number[]): fc.Arbitrary<number> =>
  fc.oneof(
    ...places.map((place) => fc.integer({ min: -2, max: 2 }).map((off) => Math.max(0, place + off))),
    fc.integer({ min: 0, max: places.at(-1)! }),
  );

function reasonOf(ask: () => unknown): unknown {
  try {
    return void ask();
  } catch (error) {
    if (error instanceof CoreRefused) return error.refusal.reason;
    throw error;
  }
}

describe("the stored log over the line", () => {
  test.prop(
    [near(0, RECORDS, PAGES), near(1, 16, MOST_STRIDE), fc.integer({ min: 0, max: MOST_HEADS + 1 })],
    runs(300),
  )(
    "heads of any pages are those in flash, round and round within records or ticks",
    (page, stride, count) => {
      const right = page < PAGES && stride > 0 && stride <= MOST_STRIDE && count > 0 && count <= MOST_HEADS;
      if (!right) {
        expect(reasonOf(() => device.ask("logHeads", { page, stride, count }))).toBe(REFUSALS.badValue);
        return;
      }
      const { values, tail } = device.ask("logHeads", { page, stride, count });
      const heads = Array.from({ length: count }, (_, i) => {
        const at = further(page, i * stride) * FLASH.page;
        return [...log.subarray(at, at + HEAD)];
      });
      expect(values.page).toBe(page);
      expect([...tail]).toEqual(heads.flat());
    },
  );

  test.prop([near(0, RECORDS * FLASH.page, AREA, 2 ** 32 - 3), near(0, MOST_BYTES)], runs(300))(
    "any piece of the area is that in flash, and a piece that leaves it is refused",
    (offset, length) => {
      if (length < 1 || length > MOST_BYTES || offset + length > AREA) {
        expect(reasonOf(() => device.ask("logRead", { offset, length }))).toBe(REFUSALS.badValue);
        return;
      }
      const { values, tail } = device.ask("logRead", { offset, length });
      expect(values.offset).toBe(offset);
      expect(Buffer.compare(tail, log.subarray(offset, offset + length))).toBe(0);
    },
  );

  test("its state tells how many pages of records there are, and how many sectors an erase has before it", () => {
    expect(device.ask("logInfo").values.pages).toBe(RECORDS);
    expect(device.ask("logErase").values.sectors).toBe(PAGES / 16);
  });
});
