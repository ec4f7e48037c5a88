// `headgate erase`: empties the run log of a controller, after one question, and waits until it is empty.
import { Failure } from "#host/errors/failure.ts";
import { numberOf } from "#host/link/payload.ts";
import { askYes } from "../ask.ts";
import type { AddCommand } from "../command.ts";
import type { Connection, PortOptions } from "../line/connect.ts";
import { withPort } from "../options.ts";
import type { Result, Session } from "../session.ts";

interface Options extends PortOptions {
  readonly yes?: true | undefined;
}

const LOOK_AGAIN_MS = 500;
/** Longest time that one sector may take: 0.4 s (from memory, unverified for the part), and what lies between two. */
const SECTOR_MS = 500;

/** Waits until the controller says that nothing is left. Fails with `log-busy` when it takes longer than it may. */
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

async function erase(session: Session, options: Options): Promise<Result> {
  const { withController } = await import("../line/connect.ts");
  const { boardWords } = await import("#host/link/board-number.ts");
  const { requireFit } = await import("#host/link/device.ts");
  const board = await withController(session, options, async (connection) => {
    const { client, device } = connection;
    requireFit(device);
    await askYes(session, `erase all runs stored on ${boardWords(device.boardId)}?`, options.yes === true);
    const { values } = await client.request("logErase");
    session.talk("erasing; leave the power on");
    await waitUntilErased(session, connection, numberOf(values, "sectors"));
    return device.boardId;
  });
  return {
    data: { board, erased: true },
    lines: session.wrapped(`${boardWords(board)}: the run log is empty`),
  };
}

export const addErase: AddCommand = (program, act) => {
  withPort(program.command("erase"))
    .option("--yes", "erase without asking")
    .description("erase all runs that a controller has stored")
    .action(act(erase));
};
