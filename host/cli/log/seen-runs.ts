// What this computer knows of runs on controllers: when it saw each first, and its peaks once it has read it.
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { systemWords } from "#host/errors/system-words.ts";
import type { Digest } from "#host/logbook/digest.ts";
import { dataFolder } from "#host/settings/data-folder.ts";
import type { Session } from "../session.ts";

/** One run. The controller has no clock: it was driven before it was first seen. */
export interface SeenRun {
  /** UTC, ISO 8601. */
  readonly firstSeen: string;
  readonly digest?: Digest;
}

/** Runs by what tells them from all others of their board: number and check sum of their last page. */
export type SeenRuns = Map<string, SeenRun>;

/** A log holds under a hundred runs; older ones are given up here. */
const MOST_KEPT = 500;

const folderOf = ({ io }: Session): string => join(dataFolder(io.env), "runs");
const fileOf = (session: Session, board: string): string => join(folderOf(session), `${board}.json`);

const isSeen = (value: unknown): value is SeenRun =>
  typeof value === "object" && value !== null && typeof (value as SeenRun).firstSeen === "string";

/** What is known of a board's runs; nothing when the file is missing or damaged. */
export function seenRuns(session: Session, board: string): SeenRuns {
  try {
    const list: unknown = JSON.parse(readFileSync(fileOf(session, board), "utf8"));
    return new Map(
      Object.entries(list as object).filter(([, value]) => isSeen(value)) as [string, SeenRun][],
    );
  } catch {
    return new Map();
  }
}

/** Remembers them. A folder that cannot be written only costs the memory. */
export function keepSeen(session: Session, board: string, runs: SeenRuns): void {
  try {
    mkdirSync(folderOf(session), { recursive: true });
    const kept = Object.fromEntries([...runs].slice(-MOST_KEPT));
    writeFileSync(fileOf(session, board), `${JSON.stringify(kept, null, 1)}\n`);
  } catch (thrown) {
    session.talk(`what was read of the runs is not remembered: ${systemWords(thrown)}`);
  }
}
