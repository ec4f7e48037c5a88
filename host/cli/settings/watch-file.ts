// Tells of each new version of a file by looking at it again and again: editors replace files in ways that notifications miss.
import { statSync } from "node:fs";
import { resolve } from "node:path";
import type { Io } from "../io.ts";

const LOOK_MS = 300;

/** What distinguishes versions: times and size, or that the file is missing. */
function versionOf(path: string): string {
  const stat = statSync(path, { throwIfNoEntry: false });
  return stat ? `${stat.mtimeMs} ${stat.ctimeMs} ${stat.size} ${stat.ino}` : "missing";
}

/** Gives the first version at once, then each new one, until interrupted. A moment without the file is waited out. */
export async function* eachVersion(io: Io, file: string): AsyncGenerator<void> {
  const path = resolve(io.cwd, file);
  let seen = "";
  while (!io.signal.aborted) {
    const now = versionOf(path);
    const first = seen === "";
    if (now !== seen && (first || now !== "missing")) {
      seen = now;
      yield;
    }
    await new Promise<void>((done) => void io.clock.after(LOOK_MS, done));
  }
}
