// `headgate check FILE --fix`: writes what was mended, with the former text beside the file; a dry run only says what would be.
import { printable } from "#host/report/terminal/wrap.ts";
import { type Fix, fixSettings } from "#host/settings/fix.ts";
import { freeName, readText, writeNew, writeOver } from "../files.ts";
import type { Session } from "../session.ts";

/** What was done to a file. `former` holds the text as it was; null when nothing was written. */
export interface FixedFile {
  readonly fixes: readonly Fix[];
  readonly former: string | null;
  readonly lines: readonly string[];
}

function fixLine(file: string, { line, column, kind, from, to }: Fix): string {
  return `${file}:${line}:${column} ${kind}: ${printable(from)} -> ${to}`;
}

/** Mends a file. Fails as reading and writing do. */
export function fixFile(session: Session, file: string, dryRun: boolean): FixedFile {
  const before = readText(session.io, file);
  const { text, fixes } = fixSettings(before);
  const told = fixes.map((fix) => fixLine(file, fix));
  if (fixes.length === 0)
    return { fixes, former: null, lines: ["nothing to mend by spelling, units or order"] };
  if (dryRun) return { fixes, former: null, lines: [...told, "nothing was written"] };
  const former = freeName(session.io, file);
  writeNew(session.io, former, before);
  writeOver(session.io, file, text);
  return { fixes, former, lines: [...told, `wrote ${file}; as it was: ${former}`] };
}
