// Copies of what was on a controller, one file each, named by date and content; they are added to and never deleted.
import { existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
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
  /** What it was kept before: `load of car.yaml`. Copies of older versions of this tool do not say. */
  readonly before?: string;
}

const NAME = /^(\d{4}-\d\d-\d\d)T(\d\d)-(\d\d)-(\d\d)Z-([0-9a-f]{8})\.yaml$/;
/** Older images gave boards 16 digits. */
const BOARD = /^([0-9a-f]{6}|[0-9a-f]{16})$/;

function copyOf(folder: string, board: string, name: string): Copy[] {
  const [, day, hours, minutes, seconds, hash] = NAME.exec(name) ?? [];
  if (hash === undefined) return [];
  const path = join(folder, name);
  const before = beforeOf(path);
  return [
    { board, date: `${day}T${hours}:${minutes}:${seconds}Z`, hash, path, ...(before ? { before } : {}) },
  ];
}

const BEFORE = "# Copy, kept before ";

/** The first line of a copy says what it was kept before; one that cannot be read says nothing. */
function beforeOf(path: string): string | undefined {
  try {
    const [first = ""] = readFileSync(path, "utf8").split("\n", 1);
    return first.startsWith(BEFORE) ? first.slice(BEFORE.length) : undefined;
  } catch {
    return undefined;
  }
}

const inOneLine = (text: string): string => text.replace(/[\p{Cc}\u2028\u2029]+/gu, " ");

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
export function keepCopy(data: string, board: string, document: Document, now: Date, before = ""): Copy {
  const text = formatSettings(document, { name: `copy of board ${board}` });
  return keepText(data, board, { hash: settingsHash(document), text, before }, now);
}

/** Text of a settings file of any version, the hash of its block on the board, and what it is kept before. */
interface ToKeep {
  readonly hash: string;
  readonly text: string;
  readonly before: string;
}

/** The same for the text of a settings file of any version. */
export function keepText(data: string, board: string, { hash, text, before }: ToKeep, now: Date): Copy {
  const newest = listCopies(data, board).at(-1);
  if (newest?.hash === hash) return newest;
  const folder = join(data, "copies", board);
  mkdirSync(folder, { recursive: true });
  const stamp = now.toISOString().slice(0, 19).replaceAll(":", "-");
  const name = `${stamp}Z-${hash}.yaml`;
  writeFileSync(join(folder, name), `${before ? `${BEFORE}${inOneLine(before)}\n` : ""}${text}`);
  return copyOf(folder, board, name)[0]!;
}
