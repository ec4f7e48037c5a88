// What a load says when the controller, after it has stored, gives back other settings or is another board.
import { describe, expect, test } from "vitest";
import { NONE_ACTIVE, NOT_CONFIRMED, NOT_LOADED, NOT_WHOLE, OLD_ACTIVE } from "#host/cli/load/verdict.ts";
import { decodeFrame } from "#host/link/frame.ts";
import { exampleDocument } from "#host/settings/example.ts";
import { settingsBytes } from "#host/settings/hash.ts";
import type { World } from "../world.ts";
import { LOAD, OLD, world } from "./reload.ts";

const lastLine = (text: string): string => text.trimEnd().split("\n").at(-1)!;

describe("what is read back after the controller has said that it stored", () => {
  /** The device does something of its own after the first store. */
  function onceStored(made: World, act: (made: World) => void): World {
    const { device } = made;
    const receive = device.receive.bind(device);
    let done = false;
    device.receive = (bytes) => {
      const answer = receive(bytes);
      if (device.state.stores === 1 && !done) {
        done = true;
        act(made);
      }
      return answer;
    };
    return made;
  }
  const hold =
    (settings: Uint8Array | undefined) =>
    ({ device }: World): void => {
      device.state.settings = settings && [...settings];
    };
  const numbered =
    (number: number) =>
    ({ device }: World): void => {
      device.state.boardNumber = number;
    };

  test.each<[string, (made: World) => void, string, number, string]>([
    ["the old settings", hold(settingsBytes(OLD)), "not-stored", 1, OLD_ACTIVE],
    ["none", hold(undefined), "not-stored", 1, NONE_ACTIVE],
    ["others", hold(settingsBytes(exampleDocument(3))), "read-back-differs", 76, NOT_WHOLE],
    ["the new ones on another board", numbered(0x445566), "board-changed", 76, NOT_CONFIRMED],
  ])("%s", async (_, act, code, exit, verdict) => {
    const ran = await onceStored(world(), act).run(...LOAD, "--json");
    expect(ran.json()).toMatchObject({ ok: false, error: { code, exit }, verdict });
  });

  test("a board that does not keep the number it was given is not called numbered", async () => {
    const made = onceStored(world(), numbered(0));
    made.device.state.boardNumber = 0;
    const ran = await made.run(...LOAD, "--json");
    expect(ran.json()).toMatchObject({ error: { code: "board-changed" }, verdict: NOT_CONFIRMED });
  });

  test("a refusal after which others are there: NOT WHOLE", async () => {
    const made = world();
    const { device } = made;
    device.state.flashWorks = false;
    const receive = device.receive.bind(device);
    device.receive = (bytes) => {
      const answer = receive(bytes);
      const refused = answer.length > 0 && decodeFrame(Uint8Array.from(answer.slice(0, -1)))?.kind === 0xff;
      if (refused) device.state.settings = [...settingsBytes(exampleDocument(3))];
      return answer;
    };
    const ran = await made.run(...LOAD);
    expect([ran.exit, lastLine(ran.stdout)]).toEqual([76, NOT_WHOLE]);
  });
});

test("another board behind the line that comes back is never loaded with an answer that was given for the first", async () => {
  const made = world();
  made.onWire = (wire) => {
    if (made.wires.length > 0) made.device.state.boardNumber = 0x445566;
    else wire.watch = (sent) => sent > 400 && wire.unplug();
  };
  const ran = await made.run(...LOAD, "--wait", "5", "--json");
  expect(ran.json()).toMatchObject({ error: { code: "board-changed" }, verdict: NOT_LOADED });
  expect(made.device.state.stores).toBe(0);
});
