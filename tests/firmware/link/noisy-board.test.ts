// The released image over a bad line, in the board's own time: settings arrive and come back, runs are listed and pulled.
import { describe, expect, test } from "vitest";
import { pauseOn } from "#host/link/clock.ts";
import { hello } from "#host/link/device.ts";
import { LinkLog } from "#host/link/log.ts";
import { readSettings, writeSettings } from "#host/link/transfer.ts";
import { listRuns, pullRun, settledInfo } from "#host/logbook/runs.ts";
import { settingsBytes } from "#host/settings/hash.ts";
import { diceOf } from "../../host/link/dice.ts";
import { FULL_DOCUMENT } from "../../host/settings/documents.ts";
import { sample } from "../../support/effort.ts";
import { boardWithRun, noisyClient } from "../../support/noisy-board.ts";

const FULL = settingsBytes(FULL_DOCUMENT);
const RUN_MS = 500;

describe.each(sample([0.05, 0, 0.01], 3))("with a share of %f of the bytes damaged", (rate) => {
  const board = boardWithRun(RUN_MS);
  const { client, line } = noisyClient(board, rate, diceOf(7919 + 1000 * rate));
  const log = new LinkLog(client);
  const took: string[] = [];
  const timed = async <T>(what: string, work: Promise<T>): Promise<T> => {
    const start = line.clock.nowMs();
    const result = await work;
    took.push(`${what} ${(line.clock.nowMs() - start).toFixed(0)} ms`);
    return result;
  };

  test("settings arrive and are read back", async () => {
    await timed("hello", hello(client));
    await timed("load", writeSettings(client, FULL));
    expect(await timed("read", readSettings(client))).toEqual(FULL);
  });

  test("runs are listed, and one is pulled whole", async () => {
    const info = await settledInfo(log, pauseOn(line.clock));
    const runs = await timed("runs", listRuns(log, info));
    expect(runs.map(({ run, complete }) => [run, complete])).toEqual([[1, true]]);
    const { records, lostPages } = await timed("pull", pullRun(log, info, 1));
    expect(lostPages).toBe(0);
    expect(records.length).toBeGreaterThan(RUN_MS / 10);
    process.stdout.write(`${rate}: ${took.join(", ")}\n`);
    await client.close();
  });
});
