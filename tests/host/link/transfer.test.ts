// Loads over the twin: what is sent is what is stored, resumed after any cut, and never half.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { Failure } from "#host/errors/failure.ts";
import { LinkClient } from "#host/link/client.ts";
import { readSettings, writeSettings } from "#host/link/transfer.ts";
import { exampleDocument } from "#host/settings/example.ts";
import { settingsBytes } from "#host/settings/hash.ts";
import { runs } from "../../support/effort.ts";
import { FULL_DOCUMENT, legalDocument } from "../settings/documents.ts";
import { diceOf, seed } from "./dice.ts";
import type { DeviceTwin } from "./twin.ts";
import { Wire } from "./wire.ts";

const FULL = settingsBytes(FULL_DOCUMENT);
const SMALL = settingsBytes(exampleDocument());
const clientOn = (wire: Wire): LinkClient => new LinkClient(wire, { clock: wire.clock });

function loaded(block: Uint8Array, device?: DeviceTwin): Wire {
  const wire = new Wire(device);
  wire.device.state.settings = [...block];
  return wire;
}

describe("a good line", () => {
  test.prop([legalDocument], runs(30))("what is written is read back", async (document) => {
    const wire = new Wire();
    const client = clientOn(wire);
    const block = settingsBytes(document);
    const stored = await wire.clock.run(writeSettings(client, block));
    expect(stored).toEqual({ sequence: 1, slot: "B" });
    expect(await wire.clock.run(readSettings(client))).toEqual(block);
  });

  test("progress rises from nothing to all", async () => {
    const wire = new Wire();
    const seen: number[] = [];
    const progress = (done: number, all: number): number => seen.push(done / all);
    await wire.clock.run(writeSettings(clientOn(wire), FULL, { progress }));
    expect(seen).toEqual([...seen].sort((a, b) => a - b));
    expect([seen[0], seen.at(-1)]).toEqual([0, 1]);
  });

  test("takes little more than the wire needs", async () => {
    const wire = new Wire();
    await wire.clock.run(writeSettings(clientOn(wire), FULL));
    const wireMs = (FULL.length * 10_000) / 115_200;
    expect(wire.clock.nowMs() / wireMs).toBeLessThan(1.3);
  });
});

describe("a bad line", () => {
  const share = fc.constantFrom(0.001, 0.01, 0.05);

  test.prop([share, seed], runs(20))(
    "with up to 5 % damaged bytes the settings still arrive, once",
    async (rate, start) => {
      const dice = diceOf(start);
      const wire = new Wire();
      wire.damage = (bytes) => [bytes.map((byte) => (dice() < rate ? byte ^ 0x41 : byte))];
      const client = clientOn(wire);
      await wire.clock.run(writeSettings(client, FULL));
      expect(wire.device.state.settings).toEqual([...FULL]);
      expect(wire.device.state.stores).toBe(1);
      expect(await wire.clock.run(readSettings(client))).toEqual(FULL);
    },
  );

  test.prop([fc.integer({ min: 1, max: FULL.length + 60 })])(
    "a cable pulled at any byte: old or new whole, and a second load ends with the new",
    async (at) => {
      const wire = loaded(SMALL);
      wire.watch = (sent) => {
        if (sent >= at) wire.damage = () => [];
      };
      const sent = await wire.clock
        .run(writeSettings(clientOn(wire), FULL))
        .catch((thrown: unknown) => thrown);
      expect([[...SMALL], [...FULL]]).toContainEqual(wire.device.state.settings);
      if (sent instanceof Failure) expect(["silent", "link-timeout"]).toContain(sent.code);
      const again = new Wire(wire.device, wire.clock);
      await again.clock.run(writeSettings(clientOn(again), FULL));
      expect(wire.device.state.settings).toEqual([...FULL]);
    },
  );

  test("a broken load goes on where it stopped", async () => {
    const wire = loaded(SMALL);
    wire.watch = (sent) => {
      if (sent > 700) wire.unplug();
    };
    await expect(wire.clock.run(writeSettings(clientOn(wire), FULL))).rejects.toMatchObject({
      code: "link-lost",
    });
    expect(wire.device.state.settings).toEqual([...SMALL]);
    const again = new Wire(wire.device, wire.clock);
    const seen: number[] = [];
    await again.clock.run(writeSettings(clientOn(again), FULL, { progress: (done) => seen.push(done) }));
    expect(seen[0]).toBe(480 / 16);
    expect(wire.device.state.settings).toEqual([...FULL]);
  });

  test("a controller that restarts in the middle gets all of it again", async () => {
    const wire = loaded(SMALL);
    let once = false;
    const progress = (done: number): void => {
      if (done === 0 || once) return;
      once = true;
      wire.device.restart();
    };
    await wire.clock.run(writeSettings(clientOn(wire), FULL, { progress }));
    expect(wire.device.state.settings).toEqual([...FULL]);
  });
});

describe("refused", () => {
  test.each([
    ["armed", (device: DeviceTwin) => (device.state.off = false), "not-off"],
    ["worn flash", (device: DeviceTwin) => (device.state.flashWorks = false), "flash-failed"],
    ["another schema", (device: DeviceTwin) => (device.state.fingerprint = 1), "schema-mismatch"],
  ])("%s: the old settings stay", async (_, spoil, code) => {
    const wire = loaded(SMALL);
    spoil(wire.device);
    await expect(wire.clock.run(writeSettings(clientOn(wire), FULL))).rejects.toMatchObject({ code });
    expect(wire.device.state.settings).toEqual([...SMALL]);
  });

  test("settings that the judge on the other side finds wrong", async () => {
    const wire = loaded(SMALL);
    const wrong = FULL.with(0, 0xff);
    await expect(wire.clock.run(writeSettings(clientOn(wire), wrong))).rejects.toMatchObject({
      code: "device-refused-settings",
    });
    expect(wire.device.state.stores).toBe(0);
  });
});
