// The host's client against the core itself over a bad line: damaged, lost, doubled, held back and swapped frames, a cable pulled
// at any byte. Virtual time; bytes take theirs.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import type { CoreRig } from "#host/bench/core/rig.ts";
import { crc32c } from "#host/codec/crc32c.ts";
import { Failure } from "#host/errors/failure.ts";
import { LinkClient } from "#host/link/client.ts";
import { hello } from "#host/link/device.ts";
import { LinkLog } from "#host/link/log.ts";
import { readSettings, writeSettings } from "#host/link/transfer.ts";
import { exampleDocument } from "#host/settings/example.ts";
import { settingsBytes } from "#host/settings/hash.ts";
import { BAUD_DEFAULT } from "#shared-schema/link/messages.ts";
import { diceOf, seed } from "../../host/link/dice.ts";
import { DeviceTwin } from "../../host/link/twin.ts";
import { type Damage, Wire } from "../../host/link/wire.ts";
import { FULL_DOCUMENT } from "../../host/settings/documents.ts";
import { freshCore } from "../../support/core.ts";

const FULL = settingsBytes(FULL_DOCUMENT);
const SMALL = settingsBytes(exampleDocument());

/** The core where the wire expects a device. */
class CoreDevice extends DeviceTwin {
  readonly rig: CoreRig = freshCore();

  constructor() {
    super();
    this.rig.start();
    this.rig.core.serve(0);
  }

  override receive(bytes: Iterable<number>): number[] {
    const sent = [...this.rig.exchange(Uint8Array.from(bytes))];
    for (const { kind, value } of this.rig.requests.splice(0)) if (kind === "baud") this.state.baud = value;
    return sent;
  }

  override restart(): void {
    this.rig.start();
    this.state.baud = BAUD_DEFAULT;
  }
}

/** A wire to a core that holds the small settings. */
async function wireWithSmall(): Promise<Wire> {
  const wire = new Wire(new CoreDevice());
  await wire.clock.run(writeSettings(clientOn(wire), SMALL));
  wire.stream.destroy();
  return new Wire(wire.device, wire.clock);
}

const clientOn = (wire: Wire): LinkClient => new LinkClient(wire, { clock: wire.clock });

/** Bytes damaged at a rate; frames lost, doubled, or held back until the next one, each once in so many. */
function badLine(rate: number, everyFrame: number, dice: () => number): Damage {
  const heldBack = { toDevice: [] as number[][], toHost: [] as number[][] };
  const hit = (): boolean => everyFrame > 0 && dice() < 1 / everyFrame;
  return (bytes, direction) => {
    const held = heldBack[direction];
    const hurt = bytes.map((byte) => (dice() < rate ? Math.floor(dice() * 256) : byte));
    if (hit()) return [];
    if (hit()) return [hurt, hurt];
    if (hit()) {
      held.push(hurt);
      return [];
    }
    return [hurt, ...held.splice(0)];
  };
}

async function expectLoaded(wire: Wire): Promise<void> {
  const client = clientOn(wire);
  await wire.clock.run(writeSettings(client, FULL));
  expect(await wire.clock.run(readSettings(client))).toEqual(FULL);
  expect((await wire.clock.run(hello(client))).settingsCrc).toBe(crc32c(FULL));
}

describe("a load into the core", () => {
  test.prop([fc.constantFrom(0, 0.01, 0.05), fc.constantFrom(0, 10, 30), seed], {
    numRuns: process.env.CI ? 200 : 15,
    examples: [[0.05, 10, 1643954753]],
  })(
    "arrives over a line that damages, loses, doubles, holds back and swaps",
    async (rate, everyFrame, start) => {
      const wire = await wireWithSmall();
      wire.damage = badLine(rate, everyFrame, diceOf(start));
      await expectLoaded(wire);
    },
  );

  test.prop([fc.integer({ min: 1, max: FULL.length + 90 })], { numRuns: process.env.CI ? 500 : 30 })(
    "whose cable is pulled at any byte leaves old or new settings, and the next load ends with the new",
    async (at) => {
      const wire = await wireWithSmall();
      wire.watch = (sent) => {
        if (sent >= at) wire.unplug();
      };
      const outcome = await wire.clock
        .run(writeSettings(clientOn(wire), FULL))
        .catch((thrown: unknown) => thrown);
      if (outcome instanceof Failure) expect(outcome.code).toBe("link-lost");
      const again = new Wire(wire.device, wire.clock);
      const { settingsCrc } = await again.clock.run(hello(clientOn(again)));
      expect([crc32c(SMALL), crc32c(FULL)]).toContain(settingsCrc);
      again.stream.destroy();
      await expectLoaded(new Wire(wire.device, wire.clock));
    },
  );

  test("is told when the core restarted in the middle, and begins again", async () => {
    const wire = await wireWithSmall();
    let once = false;
    wire.watch = (sent) => {
      if (sent < 500 || once) return;
      once = true;
      wire.device.restart();
    };
    await expectLoaded(wire);
    expect(once).toBe(true);
  });
});

describe("reading the log of the core", () => {
  test.prop([fc.constantFrom(0.01, 0.05), fc.constantFrom(0, 10), seed], { numRuns: 10 })(
    "works over such a line, with smaller answers",
    async (rate, everyFrame, start) => {
      const wire = await wireWithSmall();
      wire.damage = badLine(rate, everyFrame, diceOf(start));
      const log = new LinkLog(clientOn(wire));
      const heads = await wire.clock.run(log.heads(0, 16, 20));
      expect(heads).toHaveLength(20);
      const pages = await wire.clock.run(log.pages([7, 8, 3]));
      expect(pages.map((page) => page.length)).toEqual([256, 256, 256]);
      for (const bytes of [...heads, ...pages]) expect(bytes.every((byte) => byte === 0xff)).toBe(true);
    },
  );
});
