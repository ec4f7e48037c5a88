// What a controller says of its log, undamaged and in the right length, but of another log than this version knows: nothing is made of it.
import { fc, test } from "@fast-check/vitest";
import { expect } from "vitest";
import type { LinkClient } from "#host/link/client.ts";
import { LinkLog } from "#host/link/log.ts";
import type { Values } from "#host/link/payload.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";

const PAGES = (FLASH.ticksStart - FLASH.logStart) / FLASH.page;
const SECTORS = (FLASH.logEnd - FLASH.logStart) / FLASH.sector;

/** A log behind a controller that answers every request with the same numbers. */
function logOf(values: Values): LinkLog {
  const request = (): Promise<unknown> => Promise.resolve({ values, tail: new Uint8Array() });
  return new LinkLog({ request } as unknown as LinkClient);
}

const u16 = fc.integer({ min: 0, max: 0xffff });
const near = (number: number) => fc.oneof(u16, fc.integer({ min: number - 2, max: number + 2 }));

test.prop([near(PAGES), near(PAGES), fc.nat(3)])(
  "a log has all its pages, and one of them comes next",
  async (pages, next, busy) => {
    const info = logOf({ sequence: 0, run: 0, pages, next, waiting: 0, busy }).info();
    if (pages === PAGES && next < PAGES) expect(await info).toMatchObject({ pages, next });
    else await expect(info).rejects.toMatchObject({ code: "wrong-answer" });
  },
);

test.prop([near(SECTORS)])("an erase takes all sectors", async (sectors) => {
  const erased = logOf({ sectors }).erase();
  if (sectors === SECTORS) expect(await erased).toBe(SECTORS);
  else await expect(erased).rejects.toMatchObject({ code: "wrong-answer" });
});
