// The line's speed raised for one piece of work, with the released image: used where it carries, left where not, put back always.
import { beforeEach, describe, expect, test } from "vitest";
import type { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import type { BoardLine } from "#host/bench/board-line.ts";
import { crc32c } from "#host/codec/crc32c.ts";
import type { LinkClient } from "#host/link/client.ts";
import { hello } from "#host/link/device.ts";
import { LinkLog } from "#host/link/log.ts";
import { atSpeed } from "#host/link/speed.ts";
import { readSettings, writeSettings } from "#host/link/transfer.ts";
import { settingsBytes } from "#host/settings/hash.ts";
import { BAUD_DEFAULT, BAUD_FALLBACK_US, BAUD_MAX } from "#shared-schema/link/messages.ts";
import { diceOf } from "../../host/link/dice.ts";
import { FULL_DOCUMENT } from "../../host/settings/documents.ts";
import { sample } from "../../support/effort.ts";
import { boardWithRun, noisyClient } from "../../support/noisy-board.ts";

const FULL = settingsBytes(FULL_DOCUMENT);
const RUN_MS = 1000;
const ABOVE_DEFAULT = BAUD_DEFAULT + 1;

let board: EmulatedBoard;
beforeEach(() => {
  board = boardWithRun(RUN_MS);
});

/** A client on a line that damages so much above the first speed only. */
const clientOn = (rate: number): { client: LinkClient; line: BoardLine } =>
  noisyClient(board, rate, diceOf(4711), ABOVE_DEFAULT);

/** Loads, reads back, and says at which speed that ended. */
async function load(client: LinkClient): Promise<number> {
  return atSpeed(client, BAUD_MAX, async () => {
    await writeSettings(client, FULL);
    expect(await readSettings(client)).toEqual(FULL);
    return board.serial.baud;
  });
}

async function expectFirstSpeed(client: LinkClient): Promise<void> {
  expect((await hello(client)).settingsCrc).toBe(crc32c(FULL));
  expect(board.serial.baud).toBe(BAUD_DEFAULT);
  expect(Math.abs(board.serial.boardBaud() / BAUD_DEFAULT - 1)).toBeLessThan(0.01);
}

describe("a load", () => {
  test("runs at the raised speed, and both ends are back at the first one after it", async () => {
    const { client } = clientOn(0);
    expect(await load(client)).toBe(BAUD_MAX);
    await expectFirstSpeed(client);
  });

  test.each(sample([0.2, 1, 0.02], 3))(
    "works where a share of %f of the bytes is damaged above the first speed, and loses little time",
    async (rate) => {
      const { client, line } = clientOn(rate);
      const start = line.clock.nowMs();
      expect(await load(client)).toBe(BAUD_DEFAULT);
      expect(line.clock.nowMs() - start).toBeLessThan(1500);
      await expectFirstSpeed(client);
    },
  );

  test("goes on at the first speed when the raised one stops carrying in the middle", async () => {
    let dead = false;
    const { client } = noisyClient(board, 1, diceOf(4711), ABOVE_DEFAULT, () => dead);
    const work = async (): Promise<number> => {
      const progress = (done: number): void => {
        dead ||= done > 0;
      };
      await writeSettings(client, FULL, { progress });
      return board.serial.baud;
    };
    expect(await atSpeed(client, BAUD_MAX, work)).toBe(BAUD_DEFAULT);
    await expectFirstSpeed(client);
  });

  test("whose cable is pulled at the raised speed: a new line is answered when the controller has come back by itself", async () => {
    const { client } = clientOn(0);
    const progress = (done: number): void => {
      if (done > 0) void client.close();
    };
    const work = (): Promise<unknown> => writeSettings(client, FULL, { progress });
    await expect(atSpeed(client, BAUD_MAX, work)).rejects.toMatchObject({ code: "link-lost" });
    expect(board.serial.boardBaud() / BAUD_DEFAULT).toBeGreaterThan(7);
    board.serial.baud = BAUD_DEFAULT;
    const again = clientOn(0);
    const start = again.line.clock.nowMs();
    expect((await hello(again.client)).mode).toBe("off");
    expect(again.line.clock.nowMs() - start).toBeLessThan(BAUD_FALLBACK_US / 1000 + 500);
    expect(await load(again.client)).toBe(BAUD_MAX);
    await expectFirstSpeed(again.client);
  });
});

test("pages are pulled at the raised speed in less than a third of the time", async () => {
  const { client, line } = clientOn(0);
  const log = new LinkLog(client);
  const places = Array.from({ length: 64 }, (_, i) => i);
  const pull = async (baud: number): Promise<number> => {
    const start = line.clock.nowMs();
    const pages = await atSpeed(client, baud, () => log.pages(places));
    expect(pages.length).toBe(places.length);
    return line.clock.nowMs() - start;
  };
  const [slow, fast] = [await pull(BAUD_DEFAULT), await pull(BAUD_MAX)];
  expect(fast).toBeLessThan(slow / 3);
});
