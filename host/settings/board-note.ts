// Which board a settings file was loaded into last, remembered in a small file beside it.
import { readFileSync, writeFileSync } from "node:fs";

/** What is remembered. */
export interface BoardNote {
  readonly board: string;
  readonly hash: string;
  readonly date: string;
}

/** Name of the note that belongs to a settings file. */
export const notePath = (settingsPath: string): string => `${settingsPath}.board.json`;

/** The note of a settings file; undefined when there is none, it cannot be read or it names a board without a number. */
export function readNote(settingsPath: string): BoardNote | undefined {
  try {
    const note = JSON.parse(readFileSync(notePath(settingsPath), "utf8")) as Partial<BoardNote>;
    const { board, hash = "", date = "" } = note;
    return typeof board === "string" && /[^0]/.test(board) ? { board, hash, date } : undefined;
  } catch {
    return undefined;
  }
}

/** Writes the note. Throws what the file system throws. */
export function writeNote(settingsPath: string, note: BoardNote): void {
  writeFileSync(notePath(settingsPath), `${JSON.stringify(note, null, 2)}\n`);
}
