// `headgate erase`: empties the run log of a controller, after one question, and says that it is empty when it has read so.
import { Failure } from "#host/errors/failure.ts";
import { boardWords } from "#host/link/board-number.ts";
import { askYes } from "../ask.ts";
import type { AddCommand } from "../command.ts";
import type { Connection, PortOptions } from "../line/connect.ts";
import { withPort } from "../options.ts";
import { ERASE_REMINDER } from "../reminders.ts";
import type { Result, Session } from "../session.ts";

interface Options extends PortOptions {
  readonly yes?: true | undefined;
  readonly dryRun?: true | undefined;
}

const LOOK_AGAIN_MS = 500;
/** Longest time that one sector may take: 0.4 s (from memory, unverified for the part), and what lies between two. */
const SECTOR_MS = 500;

/** Waits until the controller is done. Fails with `log-busy` when it takes longer than it may. */
async function waitUntilErased(session: Session, { client }: Connection, sectors: number): Promise<void> {
  const { LinkLog } = await import("#host/link/log.ts");
  const { pauseOn } = await import("#host/link/clock.ts");
  const { clock } = session.io;
  const log = new LinkLog(client);
  const untilMs = clock.nowMs() + sectors * SECTOR_MS;
  while ((await log.info()).busy === "erasing") {
    if (clock.nowMs() > untilMs) throw new Failure("log-busy");
    await pauseOn(clock)(LOOK_AGAIN_MS);
  }
}

/** Reads that nothing is left: the log's state, and the first head of every sector. */
async function isEmpty({ client }: Connection, sectors: number): Promise<boolean> {
  const { LinkLog } = await import("#host/link/log.ts");
  const { SECTOR_PAGES } = await import("#host/logbook/find-runs.ts");
  const log = new LinkLog(client);
  const { sequence, pages } = await log.info();
  if (sequence !== 0) return false;
  const records = pages / SECTOR_PAGES;
  const heads = await log.heads(0, SECTOR_PAGES, records);
  heads.push(...(await log.heads(pages, SECTOR_PAGES, sectors - records)));
  return heads.every((head) => head.every((byte) => byte === 0xff));
}

/** Erases and looks. Fails with `log-not-empty`, or `restarted` where the controller's clock began anew meanwhile. */
async function eraseAndLook(session: Session, connection: Connection): Promise<void> {
  const { uptimeWatch } = await import("#host/link/uptime.ts");
  const { client } = connection;
  const watch = await uptimeWatch(client);
  const { LinkLog } = await import("#host/link/log.ts");
  const sectors = await new LinkLog(client).erase();
  session.talk("erasing; leave the power on");
  await waitUntilErased(session, connection, sectors);
  const empty = await isEmpty(connection, sectors);
  const restarted = await watch.hasRestarted();
  if (!empty) throw new Failure(restarted ? "restarted" : "log-not-empty");
  if (restarted) session.talk("the controller restarted meanwhile; its log is empty all the same");
}

/** How many runs are stored. */
async function storedRuns(session: Session, { client }: Connection): Promise<number> {
  const { LinkLog } = await import("#host/link/log.ts");
  const { pauseOn } = await import("#host/link/clock.ts");
  const { listRuns, settledInfo } = await import("#host/logbook/runs.ts");
  const log = new LinkLog(client);
  return (await listRuns(log, await settledInfo(log, pauseOn(session.io.clock)))).length;
}

function dryResult(session: Session, board: string, runs: number): Result {
  const would = `${runs} run${runs === 1 ? "" : "s"} would be erased; nothing was erased`;
  return {
    data: { board, dryRun: true, erased: false, runs },
    lines: session.wrapped(`${boardWords(board)}: ${would}`),
  };
}

async function erase(session: Session, options: Options): Promise<Result> {
  const { withController } = await import("../line/connect.ts");
  const { requireFit } = await import("#host/link/device.ts");
  return withController(session, options, async (connection) => {
    const { device } = connection;
    requireFit(device);
    if (options.dryRun) return dryResult(session, device.boardId, await storedRuns(session, connection));
    session.talk(ERASE_REMINDER);
    await askYes(session, `Erase all runs stored on ${boardWords(device.boardId)}?`, options.yes === true);
    await eraseAndLook(session, connection);
    return {
      data: { board: device.boardId, erased: true },
      lines: session.wrapped(`${boardWords(device.boardId)}: the run log is empty`),
    };
  });
}

export const addErase: AddCommand = (program, act) => {
  withPort(program.command("erase"))
    .option("--yes", "erase without asking")
    .option("--dry-run", "say how many runs would be erased, and erase nothing")
    .description("erase all runs that a controller has stored")
    .action(act(erase));
};
