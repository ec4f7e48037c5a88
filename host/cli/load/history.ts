// `headgate history`: the copies that loads have kept, oldest first.

import type { AddCommand } from "../command.ts";
import { localSecond } from "../local-time.ts";
import { withCommon } from "../options.ts";
import type { Result, Session } from "../session.ts";

interface Options {
  readonly board?: string | undefined;
}

const HEAD = ["kept (local time)", "name", "settings", "board", "before"];

async function history(session: Session, { board }: Options): Promise<Result> {
  const { listCopies } = await import("#host/settings/copies.ts");
  const { dataFolder } = await import("#host/settings/data-folder.ts");
  const { tableLines } = await import("#host/report/terminal/table.ts");
  const { namesByHash } = await import("./names.ts");
  const folder = dataFolder(session.io.env);
  const names = namesByHash(session);
  const copies = listCopies(folder, board).map((copy) => ({ ...copy, name: names.get(copy.hash) ?? null }));
  const rows = copies.map(({ date, name, hash, board: id, before }) => [
    localSecond(date),
    name ?? "-",
    hash,
    id,
    before ?? "-",
  ]);
  const table = rows.length === 0 ? ["no copies yet"] : tableLines(HEAD, rows, session.width);
  return { data: { folder, copies }, lines: [...table, "", ...session.wrapped(`copies lie in ${folder}`)] };
}

export const addHistory: AddCommand = (program, act) => {
  withCommon(program.command("history"))
    .option("--board <id>", "only copies of this board")
    .description("list the copies of settings that loads have kept")
    .action(act(history));
};
