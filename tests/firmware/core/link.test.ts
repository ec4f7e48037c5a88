// The link handler under noise: nothing that comes over the line changes settings or mode but a whole, right request.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { encodeFrame } from "#host/link/frame.ts";
import { encodePayload } from "#host/link/payload.ts";
import {
  ANSWER_BIT,
  BAUD_DEFAULT,
  BAUD_FALLBACK_US,
  MESSAGES,
  packedBytes,
  REFUSAL_KIND,
  REFUSALS,
} from "#shared-schema/link/messages.ts";
import { type Document, pack, toBytes } from "#shared-schema/settings/pack.ts";
import type { Car } from "../../oracle/car.ts";
import { Device, framesOf, message } from "../../oracle/device.ts";
import { flowingCar, isFed, modeOf, smallSettings, standingCar, ticks } from "../../oracle/stand.ts";
import { runs } from "../../support/effort.ts";
import { Random } from "../../support/random.ts";

const words = pack(smallSettings() as unknown as Document);
const changed = smallSettings((s) => {
  s.flow.frequencyHz = 25;
});
const other = pack(changed as unknown as Document);
const block = toBytes(words);
const COMMIT = message("writeCommit").kind;
/** Requests that may change something when they are right. */
const CHANGING = new Set(
  MESSAGES.filter((m) => m.name !== "hello" && m.name !== "status" && m.name !== "read").map((m) => m.kind),
);

/** Bytes as noise makes them: random ones, zeros among them, and damaged frames of every kind. */
function noise(random: Random): Uint8Array {
  const bytes = Uint8Array.from({ length: random.between(1, 900) }, () =>
    random.oneIn(20) ? 0 : random.below(256),
  );
  if (random.oneIn(3)) return bytes;
  const { kind } = random.pick(MESSAGES);
  const frame = encodeFrame({
    sequence: random.below(256),
    kind,
    payload: bytes.subarray(0, random.between(0, 512)),
  });
  if (random.oneIn(3)) return frame.subarray(0, random.below(frame.length));
  frame[random.below(frame.length)]! ^= 1 << random.below(8);
  return frame;
}

/** Frames that are whole, with kinds and lengths that the table does not have. */
function strange(random: Random): Uint8Array {
  const payload = Uint8Array.from({ length: random.between(0, 512) }, () => random.below(256));
  const known = random.pick([...CHANGING]);
  const kind = random.oneIn(2) ? known : random.between(0x40, 0x7f);
  const fits = MESSAGES.find((m) => m.kind === kind);
  const length = fits ? encodedLength(fits.name) + random.pick([-1, 1]) : payload.length;
  return encodeFrame({
    sequence: random.below(256),
    kind,
    payload: payload.subarray(0, Math.max(0, Math.min(512, length))),
  });
}

function encodedLength(name: string): number {
  const { request } = message(name);
  const values = Object.fromEntries(
    request.fields.map((f) => [f.name, f.count === undefined ? 0 : new Array(f.count).fill(0)]),
  );
  return encodePayload(request, values).length + (request.tail ?? 0);
}

/** The car is as it was: same settings, same mode, nothing asked of the board. */
function expectUntouched(car: Car, mode: string): void {
  car.rig.exchange(Uint8Array.of(0));
  car.tick();
  expect(modeOf(car)).toBe(mode);
  expect(new Device(car.rig).read(block.length)).toEqual(block);
  expect(car.rig.requests.filter((r) => r.kind === "restart")).toEqual([]);
}

const seed = fc.integer({ min: 1, max: 2 ** 31 - 1 });

describe("noise on the line", () => {
  const cars: [string, () => Car][] = [
    ["off", () => standingCar(smallSettings())],
    ["flowing", () => flowingCar(smallSettings())],
  ];
  for (const [mode, make] of cars) {
    test.prop([seed], runs(40))(`changes neither settings nor the mode ${mode}`, (s) => {
      const random = new Random(s);
      const car = make();
      car.tick();
      for (let i = 0; i < 40; i++)
        framesOf(car.rig.exchange(random.oneIn(3) ? strange(random) : noise(random)));
      expectUntouched(car, mode);
    });
  }

  test("10,000 bytes without a zero are one damaged frame, and the next request is answered", () => {
    const car = standingCar(smallSettings());
    const before = car.rig.live.get("badFrames");
    expect(car.rig.exchange(new Uint8Array(10_000).fill(0x41))).toHaveLength(0);
    car.rig.exchange(Uint8Array.of(0));
    expect(car.rig.live.get("badFrames")).toBe(before + 1);
    expect(new Device(car.rig).ask("hello").values.slot).toBe(1);
  });

  test.prop([fc.integer({ min: 0, max: 255 })])(
    "an unknown kind is refused as such, with its sequence number, and counted among the bad frames",
    (sequence) => {
      const car = standingCar(smallSettings());
      const unknown = encodeFrame({ sequence, kind: 0x7e, payload: new Uint8Array() });
      car.rig.exchange(unknown);
      const before = car.rig.live.get("badFrames");
      const [frame] = framesOf(car.rig.exchange(unknown));
      expect(frame?.sequence).toBe(sequence);
      expect(frame?.kind).toBe(REFUSAL_KIND);
      expect([...(frame?.payload ?? [])].slice(0, 2)).toEqual([0x7e, REFUSALS.unknownKind]);
      expect(car.rig.live.get("badFrames")).toBe(before + 1);
    },
  );

  test.each(MESSAGES)("$name of its least length is answered, or refused for what it asks", (wanted) => {
    const { kind, request } = wanted;
    const car = standingCar(smallSettings());
    const payload = new Uint8Array(packedBytes(request) + (request.tail === undefined ? 0 : 1));
    const [frame] = framesOf(car.rig.exchange(encodeFrame({ sequence: 1, kind, payload })));
    if (frame?.kind === (kind | ANSWER_BIT)) return;
    expect([frame?.kind, frame?.payload[0]]).toEqual([REFUSAL_KIND, kind]);
    expect(frame?.payload[1]).not.toBe(REFUSALS.unknownKind);
  });

  test.each(MESSAGES.map((m) => m.name))("%s with a byte too many is refused for its length", (name) => {
    const car = standingCar(smallSettings());
    const payload = new Uint8Array(Math.min(512, encodedLength(name) + 1));
    const [frame] = framesOf(
      car.rig.exchange(encodeFrame({ sequence: 1, kind: message(name).kind, payload })),
    );
    expect(frame?.kind).toBe(REFUSAL_KIND);
    expect(frame?.payload[1]).toBe(REFUSALS.badLength);
    expectUntouched(car, "off");
  });
});

describe("a request that is done once", () => {
  test("is answered again from memory when it is repeated, and not done again", () => {
    const car = standingCar(smallSettings());
    const id = new Device(car.rig).transfer(other);
    const commit = encodeFrame({
      sequence: 77,
      kind: COMMIT,
      payload: encodePayload(message("writeCommit").request, { id, boardNumber: 0 }),
    });
    const answer = car.rig.exchange(commit);
    const flash = car.rig.flash.bytes.slice();
    const device = new Device(car.rig);
    expect(car.rig.exchange(commit)).toEqual(answer);
    device.ask("status");
    expect(car.rig.exchange(commit)).toEqual(answer);
    expect(Buffer.compare(car.rig.flash.bytes, flash)).toBe(0);
    expect(device.ask("hello").values.settingsSequence).toBe(2);
    expect(device.read(block.length)).toEqual(toBytes(other));
  });

  test("a change of speed falls back after the quiet time, and the same request then changes it again", () => {
    const car = standingCar(smallSettings());
    const payload = encodePayload(message("baud").request, { baud: 921_600 });
    const ask = encodeFrame({ sequence: 5, kind: message("baud").kind, payload });
    for (let round = 1; round <= 2; round++) {
      car.rig.exchange(ask);
      car.rig.exchange(ask);
      expect(car.rig.requests).toEqual(
        new Array(round)
          .fill([921_600, BAUD_DEFAULT])
          .flat()
          .slice(0, 2 * round - 1)
          .map((value) => ({ kind: "baud", value })),
      );
      for (let us = 0; us < BAUD_FALLBACK_US + 2000; us += 1000) {
        car.tick();
        car.rig.core.serve(0);
      }
    }
    expect(car.rig.requests).toHaveLength(4);
  });
});

describe("while not off", () => {
  test("a transfer that was under way is dropped when the controller arms", () => {
    const car = standingCar(smallSettings());
    const device = new Device(car.rig);
    const id = device.transfer(other);
    const armed = flowingCarFrom(car);
    expect(isFed(armed)).toBe(true);
    armed.rig.core.serve(0);
    armed.set("arm", false);
    ticks(armed, 300);
    expect(() => device.ask("writeCommit", { id, boardNumber: 0 })).toThrow(
      `"reason":${REFUSALS.noTransfer}`,
    );
    expect(device.read(block.length)).toEqual(block);
  });
});

function flowingCarFrom(car: Car): Car {
  car.set("enrich", true);
  ticks(car, 201);
  car.set("arm", true);
  ticks(car, 100);
  car.set("throttle", true);
  ticks(car, 200);
  return car;
}
