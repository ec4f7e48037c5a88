// The client against the independent device twin in virtual time: answers, repeats, deadlines, refusals, noise.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { Failure } from "#host/errors/failure.ts";
import { LinkClient } from "#host/link/client.ts";
import { hello, requireFit, status } from "#host/link/device.ts";
import { encodeFrame } from "#host/link/frame.ts";
import { Refused } from "#host/link/message.ts";
import { COLUMNS } from "#shared-schema/link/columns.ts";
import { REFUSALS } from "#shared-schema/link/messages.ts";
import { runs } from "../../support/effort.ts";
import { diceOf, seed } from "./dice.ts";
import { Wire } from "./wire.ts";

const clientOn = (wire: Wire, firstSequence = 0): LinkClient =>
  new LinkClient(wire, { clock: wire.clock, firstSequence });

async function failureOf(wire: Wire, work: Promise<unknown>): Promise<Failure> {
  const outcome = await wire.clock.run(work).catch((thrown: unknown) => thrown);
  if (outcome instanceof Failure) return outcome;
  throw new Error(`no failure: ${String(outcome)}`);
}

describe("answers", () => {
  test("hello and status as typed values", async () => {
    const wire = new Wire();
    const client = clientOn(wire);
    const device = await wire.clock.run(hello(client));
    expect(device).toMatchObject({
      imageVersion: "1.2.3",
      boardId: "112233",
      mode: "off",
      slot: "none",
    });
    expect(() => requireFit(device)).not.toThrow();
    const live = await wire.clock.run(status(client));
    expect(Object.keys(live)).toEqual(COLUMNS.map((column) => column.name));
    expect(client.counts).toMatchObject({ requests: 2, repeats: 0, damaged: 0, stray: 0 });
  });

  test("several requests at once wait their turn", async () => {
    const wire = new Wire();
    const client = clientOn(wire);
    const all = await wire.clock.run(Promise.all(Array.from({ length: 300 }, () => hello(client))));
    expect(new Set(all.map((device) => device.boardId)).size).toBe(1);
    expect(client.counts.repeats).toBe(0);
  });

  test("other versions are named", async () => {
    const wire = new Wire();
    wire.device.state.fingerprint = 5;
    const schema = await wire.clock.run(hello(clientOn(wire)));
    expect(() => requireFit(schema)).toThrow(expect.objectContaining({ code: "schema-mismatch" }));
    expect(() => requireFit({ ...schema, protocol: 99 })).toThrow(
      expect.objectContaining({ code: "protocol-mismatch" }),
    );
  });
});

describe("no answer", () => {
  test("silence", async () => {
    const wire = new Wire();
    wire.damage = () => [];
    const failure = await failureOf(wire, hello(clientOn(wire)));
    expect(failure.code).toBe("silent");
    expect(wire.clock.nowMs()).toBeLessThan(4000);
  });

  test("bytes that make no frame", async () => {
    const wire = new Wire();
    wire.damage = (bytes, direction) => [direction === "toHost" ? bytes.map(() => 0x55) : bytes];
    expect((await failureOf(wire, hello(clientOn(wire)))).code).toBe("not-headgate");
  });

  test("silence after it had answered", async () => {
    const wire = new Wire();
    const client = clientOn(wire);
    await wire.clock.run(hello(client));
    wire.damage = () => [];
    expect((await failureOf(wire, hello(client))).code).toBe("link-timeout");
  });

  test("the adapter is pulled out: at once, and for every later request", async () => {
    const wire = new Wire();
    const client = clientOn(wire);
    wire.watch = () => wire.unplug();
    expect((await failureOf(wire, hello(client))).code).toBe("link-lost");
    expect(wire.clock.nowMs()).toBeLessThan(10);
    expect((await failureOf(wire, status(client))).code).toBe("link-lost");
  });

  test("interrupted by the user", async () => {
    const wire = new Wire();
    const stop = new AbortController();
    wire.damage = () => {
      stop.abort();
      return [];
    };
    const client = new LinkClient(wire, { clock: wire.clock, signal: stop.signal });
    expect((await failureOf(wire, hello(client))).code).toBe("interrupted");
  });

  test("a stream of rubbish does not make it shout", async () => {
    const wire = new Wire();
    wire.damage = (bytes, direction) =>
      direction === "toHost" ? [bytes] : [Array.from({ length: 400 }, (_, i) => (i % 4 === 3 ? 0 : 9))];
    wire.device.receive = (bytes) => [...bytes];
    const client = clientOn(wire);
    expect((await failureOf(wire, hello(client))).code).toBe("not-headgate");
    expect(client.counts.repeats).toBeLessThan(10_000 / 10);
  });
});

test.prop([seed, fc.constantFrom(0.03, 0.05, 0.1)], runs(25))(
  "a controller on a bad line is never taken for something else",
  async (start, rate) => {
    const dice = diceOf(start);
    const wire = new Wire();
    wire.damage = (bytes) => [bytes.map((byte) => (dice() < rate ? Math.floor(dice() * 256) : byte))];
    const outcome = await wire.clock.run(hello(clientOn(wire, start))).catch((thrown: unknown) => thrown);
    if (outcome instanceof Failure) expect(outcome.code).toBe("link-timeout");
  },
);

describe("an answer of a wrong shape is called that, at once", () => {
  test.each([
    ["too long an answer", 0x81, 100],
    ["too short an answer", 0x81, 3],
    ["a refusal with more in it", 0xff, 9],
  ])("%s", async (_, kind, length) => {
    const wire = new Wire();
    const payload = new Uint8Array(length).fill(1);
    wire.device.receive = () => [...encodeFrame({ sequence: 1, kind, payload })];
    const client = clientOn(wire);
    const failure = await failureOf(wire, client.request("hello"));
    expect(failure.code).toBe("wrong-answer");
    expect([client.counts.repeats, client.counts.damaged]).toEqual([0, 0]);
  });
});

test("a request that comes back unchanged is an echo; with a controller behind it, it does no harm", async () => {
  const wire = new Wire();
  const answers = wire.device.receive.bind(wire.device);
  wire.device.receive = (bytes) => [...bytes];
  expect((await failureOf(wire, hello(clientOn(wire)))).code).toBe("line-echo");
  const both = new Wire(wire.device, wire.clock);
  wire.device.receive = (bytes) => [...bytes, ...answers(bytes)];
  expect((await both.clock.run(hello(clientOn(both)))).boardId).toBe("112233");
});

describe("refusals", () => {
  test.each([
    ["not off", "writeBegin", { id: 1, crc: 0, fingerprint: 0, length: 0 }, "not-off", "notOff"],
    ["no settings", "read", { offset: 0, length: 1 }, "no-settings", "noSettings"],
  ])("%s", async (_, name, values, code, reason) => {
    const wire = new Wire();
    wire.device.state.off = false;
    const failure = await failureOf(wire, clientOn(wire).request(name, values));
    expect(failure).toBeInstanceOf(Refused);
    expect(failure).toMatchObject({ code, reason });
  });

  test("every reason of the table has words, and an unknown one is no crash", async () => {
    for (const number of [...Object.values(REFUSALS), 200]) {
      const wire = new Wire();
      wire.device.receive = () => [...refusalFrame(number)];
      const failure = await failureOf(wire, clientOn(wire).request("hello"));
      expect(failure.message.length).toBeGreaterThan(5);
    }
  });
});

function refusalFrame(reason: number): Uint8Array {
  return encodeFrame({ sequence: 1, kind: 0xff, payload: Uint8Array.of(1, reason, 9, 0, 2) });
}

const fate = fc.constantFrom("lost", "doubled", "cut", "flipped", "split");

test.prop([seed, fate, fc.constantFrom(0.05, 0.15, 0.3)], runs(60))(
  "requests get through a line that spoils up to 3 in 10 pieces, and restart is done once",
  async (start, kind, rate) => {
    const dice = diceOf(start);
    const wire = new Wire();
    wire.damage = (bytes) => {
      if (dice() > rate) return [bytes];
      const at = Math.floor(dice() * (bytes.length - 1));
      const spoilt: Record<string, number[][]> = {
        lost: [],
        doubled: [bytes, bytes],
        cut: [bytes.slice(0, at)],
        flipped: [bytes.with(at, bytes[at]! ^ 0x10)],
        split: [bytes.slice(0, at), bytes.slice(at)],
      };
      return spoilt[kind]!;
    };
    const client = clientOn(wire);
    for (let i = 0; i < 5; i++) expect((await wire.clock.run(hello(client))).boardId).toBe("112233");
    await wire.clock.run(client.request("restart", { target: 0 }));
    expect(wire.device.state.restarts).toBe(1);
  },
);
