// `headgate history`: the copies that loads have kept, oldest first.

import type { AddCommand } from "../command.ts";
import { withCommon } from "../options.ts";
import type { Result, Session } from "../session.ts";

interface Options {
  readonly board?: string | undefined;
}

async function history(session: Session, { board }: Options): Promise<Result> {
  const { listCopies } = await import("#host/settings/copies.ts");
  const { dataFolder } = await import("#host/settings/data-folder.ts");
  const { tableLines } = await import("#host/report/terminal/table.ts");
  const folder = dataFolder(session.io.env);
  const copies = listCopies(folder, board);
  const rows = copies.map(({ date, board: id, hash }) => [date, id, hash]);
  const table =
    rows.length === 0
      ? ["no copies yet"]
      : tableLines(["date (UTC)", "board", "settings"], rows, session.width);
  return { data: { folder, copies }, lines: [...table, "", ...session.wrapped(`copies lie in ${folder}`)] };
}

export const addHistory: AddCommand = (program, act) => {
  withCommon(program.command("history"))
    .option("--board <id>", "only copies of this board")
    .description("list the copies of settings that loads have kept")
    .action(act(history));
};
