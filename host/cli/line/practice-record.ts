// Where the practice board of this user is reached: a small file in the data folder, which only this user may read, while it runs.
import { mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { Failure } from "#host/errors/failure.ts";
import { dataFolder } from "#host/settings/data-folder.ts";
import type { Io } from "../io.ts";

/** Stands for the practice board where a port is named. */
export const PRACTICE_PORT = "practice";

/** One that runs. `url` is that of its page, with the token that opens it. */
export interface PracticeRecord {
  readonly port: string;
  readonly url: string;
  readonly pid: number;
  /** Folder that its boot mode's volume is, while it is in that mode. */
  readonly volume: string;
}

const fileOf = ({ env }: Io): string => join(dataFolder(env), "practice.json");

/** Is a process with this number there? */
function lives(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch (thrown) {
    return (thrown as NodeJS.ErrnoException).code === "EPERM";
  }
}

function readRecord(io: Io): PracticeRecord | undefined {
  try {
    const found = JSON.parse(readFileSync(fileOf(io), "utf8")) as PracticeRecord;
    const { port, url, pid, volume } = found;
    if ([port, url, volume].every((text) => typeof text === "string") && typeof pid === "number")
      return { port, url, pid, volume };
  } catch {
    // No file, or one that something else wrote: no board.
  }
  return undefined;
}

/** The practice board that runs. Fails with `no-practice-board`. */
export function runningPractice(io: Io): PracticeRecord {
  const found = readRecord(io);
  if (found && lives(found.pid)) return found;
  throw new Failure("no-practice-board");
}

/** The name of a port as it was given; that of the practice board becomes the port that it offers. Fails with `no-practice-board`. */
export const portNamed = (io: Io, name: string): string =>
  name === PRACTICE_PORT ? runningPractice(io).port : name;

/** Notes it, in place of one that is noted. Throws what the file system throws. */
export function noteRecord(io: Io, record: PracticeRecord): void {
  mkdirSync(dataFolder(io.env), { recursive: true });
  rmSync(fileOf(io), { force: true });
  writeFileSync(fileOf(io), `${JSON.stringify(record)}\n`, { mode: 0o600 });
}

/** Takes the note away, unless another board has taken its place. */
export function dropRecord(io: Io, { url }: PracticeRecord): void {
  if (readRecord(io)?.url === url) rmSync(fileOf(io), { force: true });
}
