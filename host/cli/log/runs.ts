// `headgate runs`: the runs that a controller has stored, the oldest first.

import type { RunSummary } from "#host/logbook/runs.ts";
import type { AddCommand } from "../command.ts";
import type { PortOptions } from "../line/connect.ts";
import { withPort } from "../options.ts";
import type { Result, Session } from "../session.ts";

const HEAD = ["run", "length", "records to", "settings", "trip"];

function row({ run, seconds, pages, complete, settingsCrc, trip }: RunSummary): string[] {
  return [
    String(run),
    seconds === undefined ? `about ${(pages * 0.09).toFixed(0)} s` : `${seconds.toFixed(2)} s`,
    complete ? "its end" : "cut short",
    settingsCrc === undefined ? "?" : settingsCrc.toString(16).padStart(8, "0"),
    trip === undefined ? "?" : trip || "none",
  ];
}

async function runs(session: Session, options: PortOptions): Promise<Result> {
  const { withController } = await import("../line/connect.ts");
  const { requireFit } = await import("#host/link/device.ts");
  const { LinkLog } = await import("#host/link/log.ts");
  const { pauseOn } = await import("#host/link/clock.ts");
  const { listRuns, settledInfo } = await import("#host/logbook/runs.ts");
  const { tableLines } = await import("#host/report/terminal/table.ts");
  const { board, list } = await withController(session, options, async ({ client, device }) => {
    requireFit(device);
    const log = new LinkLog(client);
    return {
      board: device.boardId,
      list: await listRuns(log, await settledInfo(log, pauseOn(session.io.clock))),
    };
  });
  const none = "the log is empty: a run is stored when the controller has been off for a moment after it";
  const lines = list.length === 0 ? session.wrapped(none) : tableLines(HEAD, list.map(row), session.width);
  return { data: { board, runs: list }, lines };
}

export const addRuns: AddCommand = (program, act) => {
  withPort(program.command("runs"))
    .description("list the runs that a controller has stored")
    .action(act(runs));
};
