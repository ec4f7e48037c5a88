// `headgate undo [HASH]`: puts settings back that this controller had before, out of the copies that loads keep.
import { Failure } from "#host/errors/failure.ts";
import type { Copy } from "#host/settings/copies.ts";
import type { AddCommand } from "../command.ts";
import type { Result, Session } from "../session.ts";
import type { ToLoad } from "./loadable.ts";
import { type LoadOptions, withLoad, withWait } from "./options.ts";

/** The copy meant: the newest whose content differs from what is active, or the newest that `wanted` begins. */
async function copyFor(session: Session, options: LoadOptions, wanted: string | undefined): Promise<Copy> {
  const { NO_BOARD_ID } = await import("#host/link/board-number.ts");
  const { listCopies } = await import("#host/settings/copies.ts");
  const { dataFolder } = await import("#host/settings/data-folder.ts");
  const { hex8 } = await import("#host/settings/hash.ts");
  const { withController } = await import("../line/connect.ts");
  const device = await withController(session, options, async (connection) => connection.device);
  const active = hex8(device.settingsCrc);
  const copies = listCopies(dataFolder(session.io.env), device.boardId);
  const found = copies
    .filter(({ hash }) => (wanted === undefined ? hash !== active : hash.startsWith(wanted)))
    .at(-1);
  if (found && device.boardId === NO_BOARD_ID) await askWhose(session, options, found);
  if (found) return found;
  throw new Failure("no-copy", { data: { board: device.boardId, active, copies } });
}

/** Boards without a number share one folder of copies. Fails with `needs-answer` or `declined`. */
async function askWhose(
  session: Session,
  { otherBoard, dryRun }: LoadOptions,
  { path }: Copy,
): Promise<void> {
  const { askYes } = await import("../ask.ts");
  session.talk(
    session.paint.warn(`CAUTION: this board has no number yet; ${path} may be a copy of another one.`),
  );
  if (!dryRun) await askYes(session, "Is it of this car?", otherBoard === true, "--other-board");
}

async function asToLoad(
  session: Session,
  { path, hash, date }: Copy,
): Promise<ToLoad & Required<Pick<ToLoad, "copy">>> {
  const { goodFile } = await import("../settings/settings-file.ts");
  const { namesByHash } = await import("./names.ts");
  return { ...goodFile(session, path), copy: { name: namesByHash(session).get(hash), kept: date } };
}

async function undo(session: Session, hash: string | undefined, options: LoadOptions): Promise<Result> {
  const { loadSettings } = await import("./load-settings.ts");
  const waiting = withWait(session, options);
  const copy = await copyFor(session, waiting, hash?.toLowerCase());
  const { copyWords } = await import("./question.ts");
  const what = await asToLoad(session, copy);
  session.talk(`${waiting.dryRun ? "would put" : "putting"} back ${copyWords(copy.hash, what.copy)}`);
  return loadSettings(session, waiting, what);
}

export const addUndo: AddCommand = (program, act) => {
  withLoad(program.command("undo"))
    .argument("[hash]", "which copy, by the beginning of its settings hash; else the newest other one")
    .description("put the previous settings back")
    .action(act(undo));
};
