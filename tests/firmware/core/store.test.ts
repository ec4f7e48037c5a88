// Settings in flash: whole old or whole new ones after a power cut at any operation and any byte, and a later write works.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { MemoryFlash } from "#host/bench/core/flash.ts";
import { crc32c } from "#host/codec/crc32c.ts";
import type { Values } from "#host/link/payload.ts";
import { SLOT_NOTES } from "#shared-schema/link/messages.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";
import { toBytes } from "#shared-schema/settings/pack.ts";
import { CoreRefused, Device } from "../../oracle/device.ts";
import { rightDocument } from "../../oracle/right-documents.ts";
import { coreOn } from "../../support/core.ts";
import { runs, sample } from "../../support/effort.ts";
import { Random } from "../../support/random.ts";

const SECOND_SLOT = FLASH.slotA + FLASH.sector;

class PowerCut extends Error {}

/** A chip whose power fails in operation number `at`: `bytes` bytes of it are done, the rest of the work is not. */
class CutFlash extends MemoryFlash {
  operations = 0;
  at = Infinity;
  part = 0;

  override erase(offset: number): void {
    if (++this.operations < this.at) {
      super.erase(offset);
      return;
    }
    this.bytes.fill(0xff, offset, offset + Math.min(FLASH.sector, this.part * 16));
    throw new PowerCut();
  }

  override program(offset: number, page: Uint8Array): void {
    if (++this.operations < this.at) {
      super.program(offset, page);
      return;
    }
    for (let i = 0; i < Math.min(FLASH.page, this.part); i++) this.bytes[offset + i]! &= page[i]!;
    throw new PowerCut();
  }
}

function words(seed: number): Uint16Array {
  return rightDocument(new Random(seed)).words;
}

function started(flash: MemoryFlash): { device: Device; hello: Values } {
  const rig = coreOn(flash);
  rig.start();
  const device = new Device(rig);
  return { device, hello: device.ask("hello").values };
}

function crcOf(block: Uint16Array): number {
  return crc32c(toBytes(block));
}

/** Idle time in which the core may ready its spare slot. */
function idle(device: Device): void {
  device.rig.core.tick(1000);
  device.rig.idle();
}

const [first, second, third, fourth] = [words(1), words(2), words(3), words(4)];

describe("stored settings", () => {
  test("survive a restart, with their sequence number, and are read back word for word", () => {
    const flash = new MemoryFlash();
    const { device, hello } = started(flash);
    let slotBefore = hello.slot;
    expect(hello).toMatchObject({ slot: 0, slotNote: SLOT_NOTES.empty, settingsSequence: 0, settingsCrc: 0 });
    for (const [i, block] of [first, second, third, fourth].entries()) {
      const stored = device.store(block);
      expect(stored.sequence).toBe(i + 1);
      expect(stored.slot, "the slot in force is not written").not.toBe(slotBefore);
      slotBefore = stored.slot;
      const again = started(flash);
      expect(again.hello).toMatchObject({
        slotNote: SLOT_NOTES.ok,
        settingsSequence: i + 1,
        settingsCrc: crcOf(block),
      });
      expect(again.device.read(2 * block.length)).toEqual(toBytes(block));
    }
  });

  test("an acknowledged write needs nothing after it: a cut right then loses nothing", () => {
    const flash = new MemoryFlash();
    for (const block of [first, second, third, fourth, first, second]) {
      started(flash).device.store(block);
      expect(started(flash).hello.settingsCrc).toBe(crcOf(block));
    }
  });

  test.prop([fc.integer({ min: 0, max: 1023 }), fc.integer({ min: 1, max: 255 })], runs(50))(
    "a damaged newer slot falls back to the older one; both damaged is no settings",
    (at, bits) => {
      const flash = new MemoryFlash();
      const { device } = started(flash);
      device.store(first);
      device.store(second);
      const used = flash.bytes
        .subarray(SECOND_SLOT, SECOND_SLOT + FLASH.sector)
        .findLastIndex((b) => b !== 0xff);
      const place = at % (used + 1);
      flash.bytes[SECOND_SLOT + place]! ^= bits;
      const { hello } = started(flash);
      if (hello.settingsCrc !== crcOf(second)) {
        expect(hello).toMatchObject({ slot: 1, settingsCrc: crcOf(first) });
        flash.bytes[FLASH.slotA] = 0;
        expect(started(flash).hello).toMatchObject({ slot: 0, slotNote: SLOT_NOTES.damaged, settingsCrc: 0 });
      }
    },
  );

  test("every byte of the header and of the settings is guarded", () => {
    const flash = new MemoryFlash();
    started(flash).device.store(first);
    const header = [...Array(28).keys()].map((i) => FLASH.slotA + i);
    const block = [...Array(2 * first.length).keys()].map((i) => FLASH.slotA + FLASH.page + i);
    for (const place of sample([...header, ...block], 7)) {
      flash.bytes[place]! ^= 0x10;
      expect(started(flash).hello.slot, `byte ${place - FLASH.slotA}`).toBe(0);
      flash.bytes[place]! ^= 0x10;
    }
    expect(started(flash).hello.slot).toBe(1);
  });

  test("settings of another schema are refused on the line", () => {
    const { device } = started(new MemoryFlash());
    expect(() => device.transfer(first, 0x1234_5678)).toThrow(CoreRefused);
    expect(device.ask("hello").values.slot).toBe(0);
  });
});

describe("a power cut", () => {
  /** Stores `old` settings, then cuts while `next` is stored; the state at the next start must be whole. */
  function cutAt(
    blocks: Uint16Array[],
    next: Uint16Array,
    at: number,
    part: number,
    idles: boolean,
  ): "done" | "cut" {
    const flash = new CutFlash();
    const { device } = started(flash);
    for (const block of blocks) device.store(block);
    flash.operations = 0;
    flash.at = at;
    flash.part = part;
    let outcome: "done" | "cut" = "done";
    try {
      if (idles) idle(device);
      device.store(next);
    } catch (error) {
      if (!(error instanceof PowerCut)) throw error;
      outcome = "cut";
    }
    flash.at = Infinity;
    const { hello, device: after } = started(flash);
    const old = blocks.at(-1);
    const allowed = outcome === "done" ? [crcOf(next)] : [old ? crcOf(old) : 0, crcOf(next)];
    expect(allowed).toContain(hello.settingsCrc);
    after.store(fourth);
    expect(started(flash).hello.settingsCrc).toBe(crcOf(fourth));
    return outcome;
  }

  const parts = sample([24, 1, 2, 27, 256, 28, 100, 255], 4);

  test.each([
    ["the first write", []],
    ["the second write", [first]],
    ["the third write", [first, second]],
    ["the fourth write", [first, second, third]],
  ])("at every operation of %s leaves the old or the new settings whole", (_, blocks) => {
    for (const idles of [false, true]) {
      let cuts = 0;
      for (let at = 1; cutAt(blocks, third, at, 0, idles) === "cut"; at++, cuts++)
        for (const part of parts) cutAt(blocks, third, at, part, idles);
      expect(cuts).toBeGreaterThanOrEqual(5);
    }
  });

  test.prop(
    [fc.integer({ min: 1, max: 8 }), fc.nat(256), fc.integer({ min: 1, max: 8 }), fc.nat(256)],
    runs(40),
  )("during the recovery from a power cut loses nothing either", (at, part, at2, part2) => {
    const flash = new CutFlash();
    started(flash).device.store(first);
    for (const [cut, bytes] of [
      [at, part],
      [at2, part2],
    ] as const) {
      flash.operations = 0;
      flash.at = cut;
      flash.part = bytes;
      try {
        started(flash).device.store(second);
      } catch (error) {
        expect(error).toBeInstanceOf(PowerCut);
      }
    }
    flash.at = Infinity;
    expect([crcOf(first), crcOf(second)]).toContain(started(flash).hello.settingsCrc);
    started(flash).device.store(third);
    expect(started(flash).hello.settingsCrc).toBe(crcOf(third));
  });
});
