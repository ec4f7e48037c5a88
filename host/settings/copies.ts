// Copies of what was on a controller, one file each, named by date and content; they are added to and never deleted.
import { existsSync, mkdirSync, readdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { Document } from "#shared-schema/settings/pack.ts";
import { settingsHash } from "./hash.ts";
import { formatSettings } from "./write.ts";

/** One copy. `date` is in UTC, to the second. */
export interface Copy {
  readonly board: string;
  readonly date: string;
  readonly hash: string;
  readonly path: string;
}

const NAME = /^(\d{4}-\d\d-\d\d)T(\d\d)-(\d\d)-(\d\d)Z-([0-9a-f]{8})\.yaml$/;
/** Older images gave boards 16 digits. */
const BOARD = /^([0-9a-f]{6}|[0-9a-f]{16})$/;

function copyOf(folder: string, board: string, name: string): Copy[] {
  const [, day, hours, minutes, seconds, hash] = NAME.exec(name) ?? [];
  if (hash === undefined) return [];
  return [{ board, date: `${day}T${hours}:${minutes}:${seconds}Z`, hash, path: join(folder, name) }];
}

/** Copies of one board, or of all, oldest first. */
export function listCopies(data: string, board?: string): Copy[] {
  const root = join(data, "copies");
  if (!existsSync(root)) return [];
  const boards = readdirSync(root).filter((name) => BOARD.test(name) && (board ?? name) === name);
  const all = boards.flatMap((id) =>
    readdirSync(join(root, id)).flatMap((name) => copyOf(join(root, id), id, name)),
  );
  return all.sort((a, b) => a.date.localeCompare(b.date) || a.path.localeCompare(b.path));
}

/** Keeps a copy unless the newest one of this board holds the same. Throws what the file system throws. */
export function keepCopy(data: string, board: string, document: Document, now: Date): Copy {
  const text = formatSettings(document, { name: `copy of board ${board}` });
  return keepText(data, board, settingsHash(document), text, now);
}

/** The same for the text of a settings file of any version; `hash` is that of the block on the board. */
export function keepText(data: string, board: string, hash: string, text: string, now: Date): Copy {
  const newest = listCopies(data, board).at(-1);
  if (newest?.hash === hash) return newest;
  const folder = join(data, "copies", board);
  mkdirSync(folder, { recursive: true });
  const stamp = now.toISOString().slice(0, 19).replaceAll(":", "-");
  const name = `${stamp}Z-${hash}.yaml`;
  writeFileSync(join(folder, name), text);
  return copyOf(folder, board, name)[0]!;
}
