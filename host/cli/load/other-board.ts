// Settings made for one car do not go into another by mistake: the board of the last load is remembered beside the file.
import { resolve } from "node:path";
import { systemWords } from "#host/errors/system-words.ts";
import { boardWords, NO_BOARD_ID } from "#host/link/board-number.ts";
import type { Hello } from "#host/link/device.ts";
import { readNote, writeNote } from "#host/settings/board-note.ts";
import { askYes } from "../ask.ts";
import type { Session } from "../session.ts";
import type { ToLoad } from "./loadable.ts";

const QUESTION = "Another car? Load these settings here all the same?";

/** The caution and the question where the file went into another board last time; else none. */
export function otherBoardTexts(session: Session, what: ToLoad, { boardId }: Hello): string[] {
  const note = what.copy ? undefined : readNote(resolve(session.io.cwd, what.file));
  if (note === undefined || note.board === boardId) return [];
  return [
    `CAUTION: ${what.file} was last loaded into board ${note.board}; this is ${boardWords(boardId)}.`,
    QUESTION,
  ];
}

/** Asks when the file went into another board last time. Fails with `needs-answer` or `declined`. */
export async function askOtherBoard(
  session: Session,
  what: ToLoad,
  device: Hello,
  yes: boolean,
): Promise<void> {
  const [caution] = otherBoardTexts(session, what, device);
  if (caution === undefined) return;
  session.talk(session.paint.warn(caution));
  await askYes(session, QUESTION, yes, "--other-board");
}

/** Remembers the board, if it has a number. A folder that cannot be written only costs the memory. */
export function rememberBoard(session: Session, what: ToLoad, board: string): void {
  if (what.copy || board === NO_BOARD_ID) return;
  try {
    const note = { board, hash: what.hash, date: session.io.now().toISOString() };
    writeNote(resolve(session.io.cwd, what.file), note);
  } catch (thrown) {
    session.talk(`the board is not remembered beside ${what.file}: ${systemWords(thrown)}`);
  }
}
