// How long a full settings block takes over the line to the emulated board, against what the wire alone would take.
import { readFileSync } from "node:fs";
import { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { boardLine } from "#host/bench/board-line.ts";
import { LinkClient } from "#host/link/client.ts";
import { LinkLog } from "#host/link/log.ts";
import { Pace } from "#host/link/pace.ts";
import { atSpeed } from "#host/link/speed.ts";
import { readSettings, writeSettings } from "#host/link/transfer.ts";
import { pullPages } from "#host/logbook/runs.ts";
import { exampleDocument } from "#host/settings/example.ts";
import { settingsBytes } from "#host/settings/hash.ts";
import { LOG_PAGE } from "#shared-schema/link/columns.ts";
import { BAUD_DEFAULT, BAUD_MAX } from "#shared-schema/link/messages.ts";
import { boardWithRun } from "../support/noisy-board.ts";
import type { Row } from "./row.ts";

const IMAGE = readFileSync("firmware/image/headgate.uf2");
/** Start-up, and the erase of the spare slot that follows it. */
const READY_US = 700_000;
const RUN_MS = 20_000;

/** Virtual milliseconds of sending, storing and reading back. */
async function times(baud: number): Promise<{ send: number; store: number; back: number }> {
  const board = new EmulatedBoard({ image: IMAGE });
  board.powerOn();
  board.runFor(READY_US);
  const line = boardLine(board);
  const client = new LinkClient(line, { clock: line.clock });
  await client.request("hello");
  const marks: number[] = [];
  const mark = (): unknown => marks.push(board.nowNs / 1e6);
  await atSpeed(client, baud, async () => {
    mark();
    await writeSettings(client, settingsBytes(exampleDocument(4)), { committing: mark });
    mark();
    await readSettings(client);
    mark();
  });
  await client.close();
  const [begin = 0, sent = 0, stored = 0, read = 0] = marks;
  return { send: sent - begin, store: stored - sent, back: read - stored };
}

/** A run pulled: virtual milliseconds, and bytes of its pages. */
async function pullTimes(baud: number): Promise<{ ms: number; bytes: number }> {
  const board = boardWithRun(RUN_MS);
  const line = boardLine(board);
  const client = new LinkClient(line, { clock: line.clock });
  const log = new LinkLog(client);
  const info = await log.info();
  return atSpeed(client, baud, async () => {
    const startMs = line.clock.nowMs();
    const pages = await pullPages(log, info, 1);
    return { ms: line.clock.nowMs() - startMs, bytes: pages.length * LOG_PAGE.bytes };
  });
}

/** Measures in virtual time, so the numbers do not depend on this computer. */
export async function run(): Promise<Row[]> {
  const rows: Row[] = [];
  for (const baud of [BAUD_DEFAULT, BAUD_MAX]) {
    const { send, store, back } = await times(baud);
    const wireMs = Pace.wireMs(settingsBytes(exampleDocument(4)).length, baud);
    rows.push(
      {
        name: `settings sent at ${baud} baud, over the wire's limit`,
        value: send / wireMs,
        unit: "x",
        aim: "under 1.3",
      },
      { name: `settings stored, after ${baud} baud`, value: store, unit: "ms" },
      {
        name: `settings read back at ${baud} baud, over the wire's limit`,
        value: back / wireMs,
        unit: "x",
        aim: "under 1.3",
      },
    );
    const pull = await pullTimes(baud);
    rows.push(
      {
        name: `${pull.bytes / LOG_PAGE.bytes} pages of a run pulled at ${baud} baud`,
        value: pull.ms / 1000,
        unit: "s",
      },
      {
        name: `the same over the wire's limit`,
        value: pull.ms / Pace.wireMs(pull.bytes, baud),
        unit: "x",
        aim: "under 1.3",
      },
    );
  }
  return rows;
}
