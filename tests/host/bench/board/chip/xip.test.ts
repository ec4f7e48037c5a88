// Reads of flash: what the cache does not hold takes time, and the serial interface has its fastest clock.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { XipWindow } from "#host/bench/board/chip/xip.ts";
import { VirtualClock } from "#host/bench/board/clock.ts";
import { NorFlash } from "#host/bench/board/outside/nor-flash.ts";
import { TYPICAL } from "#host/bench/board/part-times.ts";
import { runs } from "../../../../support/effort.ts";
import { bench } from "../support/bare-chip.ts";

const DIVIDER = 4;
const CACHE_BYTES = 16_384;
const SSI = 0x18000000;

function window(): { xip: XipWindow; waited: () => number } {
  const xip = new XipWindow(new NorFlash(new VirtualClock()));
  let cycles = 0;
  xip.onWait = (more) => {
    cycles += more;
  };
  xip.open(DIVIDER);
  return { xip, waited: () => cycles };
}

describe("a word that the cache does not hold", () => {
  test("takes 2 to 2.5 us at 125 MHz and the second boot stage's divider", () => {
    const us = (TYPICAL.readClocks * DIVIDER) / 125;
    expect(us).toBeGreaterThanOrEqual(2);
    expect(us).toBeLessThanOrEqual(2.5);
  });

  test.prop([fc.uniqueArray(fc.nat(4000), { minLength: 1, maxLength: 200 }), fc.nat(3)], runs(20))(
    "is waited for once, whatever of it is read; all are held while they fit",
    (words, byte) => {
      const { xip, waited } = window();
      for (const word of words) xip.read(4 * word, 4);
      expect(waited()).toBe(words.length * TYPICAL.readClocks * DIVIDER);
      for (const word of words) xip.read(4 * word + byte, 1);
      expect(waited()).toBe(words.length * TYPICAL.readClocks * DIVIDER);
    },
  );

  test("three words whose places in the cache are the same push each other out", () => {
    const { xip, waited } = window();
    for (let round = 0; round < 2; round++) {
      for (let n = 0; n < 3; n++) xip.read((n * CACHE_BYTES) / 2, 4);
    }
    expect(waited()).toBe(6 * TYPICAL.readClocks * DIVIDER);
  });

  test("a flush forgets all", () => {
    const { xip, waited } = window();
    xip.read(0, 4);
    xip.flushCache();
    xip.read(0, 4);
    expect(waited()).toBe(2 * TYPICAL.readClocks * DIVIDER);
  });
});

test("a divider that makes the flash's clock too fast for a plain read is refused", () => {
  const to = bench();
  to.write(SSI + 0x08, 0);
  to.write(SSI + 0x14, 2);
  expect(() => to.write(SSI + 0x08, 1)).toThrow("50 MHz");
});
