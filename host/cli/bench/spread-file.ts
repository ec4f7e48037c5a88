// The file of a spread or of a part of it: a head that all parts share, and runs by number.
import type { SpreadRun } from "#host/bench/loop/spread.ts";
import { Failure } from "#host/errors/failure.ts";
import type { SpreadHead } from "#host/report/spread/head.ts";
import { readLongText } from "../files.ts";
import type { Session } from "../session.ts";

/** A spread, whole or in part. */
export interface SpreadFile {
  readonly head: SpreadHead;
  readonly runs: readonly SpreadRun[];
}

const byNumber = (runs: Iterable<SpreadRun>): SpreadRun[] => [...runs].sort((a, b) => a.run - b.run);

/** Text of the file; the same runs give the same bytes, in whatever order they were driven. */
export function spreadText(head: SpreadHead, runs: Iterable<SpreadRun>): string {
  const lines = byNumber(runs).map((run) => JSON.stringify(run));
  return `{"head":${JSON.stringify(head)},"runs":[\n${lines.join(",\n")}\n]}\n`;
}

/** Reads a file. Fails with `bad-spread` when it is none. */
export function readSpread(session: Session, name: string): SpreadFile {
  const text = readLongText(session.io, name);
  try {
    const file = JSON.parse(text) as SpreadFile;
    if (file.head.format === "headgate-spread" && file.head.version === 2 && Array.isArray(file.runs))
      return file;
  } catch {
    // What is no JSON is no spread either.
  }
  throw new Failure("bad-spread", { what: `${name} was not written by \`headgate spread --out\`` });
}

const sameHead = (a: SpreadHead, b: SpreadHead): boolean => JSON.stringify(a) === JSON.stringify(b);

/** Runs of a file that is there already and has the same head: they need not be driven again. Fails with `file-exists` for any other. */
export function runsThere(session: Session, name: string, head: SpreadHead): readonly SpreadRun[] {
  const file = readSpread(session, name);
  if (sameHead(file.head, head)) return file.runs;
  throw new Failure("file-exists", { what: `${name} is a spread of something else` });
}

/** Puts parts together. Fails with `bad-spread` when they do not belong together. */
export function joined(session: Session, names: readonly string[]): SpreadFile {
  const files = names.map((name) => ({ name, ...readSpread(session, name) }));
  const [first] = files;
  const runs = new Map<number, SpreadRun>();
  for (const { name, head, runs: part } of files) {
    if (!sameHead(head, first!.head))
      throw new Failure("bad-spread", { what: `${name} and ${first!.name} are parts of different spreads` });
    for (const run of part) runs.set(run.run, run);
  }
  return { head: first!.head, runs: byNumber(runs.values()) };
}
