// A faster line for one piece of work: it is used when it works, left when it does not, and always put back.
import { fc, test } from "@fast-check/vitest";
import { expect } from "vitest";
import { LinkClient } from "#host/link/client.ts";
import { hello } from "#host/link/device.ts";
import { atSpeed } from "#host/link/speed.ts";
import { writeSettings } from "#host/link/transfer.ts";
import { settingsBytes } from "#host/settings/hash.ts";
import { runs } from "../../support/effort.ts";
import { FULL_DOCUMENT } from "../settings/documents.ts";
import { diceOf, seed } from "./dice.ts";
import { Wire } from "./wire.ts";

const FULL = settingsBytes(FULL_DOCUMENT);
const FAST = 921_600;

function fast(wire: Wire): Promise<number> {
  const client = new LinkClient(wire, { clock: wire.clock });
  const work = async (): Promise<number> => {
    await hello(client);
    await writeSettings(client, FULL);
    return wire.baud;
  };
  return wire.clock.run(atSpeed(client, FAST, work));
}

test("the work runs fast, and both ends are at the first speed after it", async () => {
  const wire = new Wire();
  expect(await fast(wire)).toBe(FAST);
  expect([wire.baud, wire.device.state.baud]).toEqual([115_200, 115_200]);
  expect(wire.device.state.stores).toBe(1);
});

test("a cable that only carries the first speed: the work runs at that one", async () => {
  const wire = new Wire();
  wire.damage = (bytes) => (wire.baud === FAST ? [] : [bytes]);
  expect(await fast(wire)).toBe(115_200);
  expect(wire.device.state.settings).toEqual([...FULL]);
});

test("a failure of the work is what comes out", async () => {
  const wire = new Wire();
  const client = new LinkClient(wire, { clock: wire.clock });
  const work = (): Promise<never> => Promise.reject(new Error("the work"));
  await expect(wire.clock.run(atSpeed(client, FAST, work))).rejects.toThrow("the work");
});

test("a line without a speed of its own is left alone", async () => {
  const wire = Object.assign(new Wire(), { baud: undefined as unknown as number });
  const client = new LinkClient(wire, { clock: wire.clock });
  expect(await wire.clock.run(atSpeed(client, FAST, async () => wire.baud))).toBeUndefined();
});

test.prop([seed, fc.constantFrom(0.05, 0.15)], runs(40))(
  "over a line that loses pieces the settings arrive, and the speed is the first one again",
  async (start, rate) => {
    const dice = diceOf(start);
    const wire = new Wire();
    wire.damage = (bytes) => (dice() < rate ? [] : [bytes]);
    await fast(wire);
    expect(wire.device.state.settings).toEqual([...FULL]);
    expect([wire.baud, wire.device.state.baud]).toEqual([115_200, 115_200]);
  },
);
