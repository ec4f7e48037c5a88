// A page as a file under a name that the user gave; only a page of the same kind is ever replaced.
import { existsSync } from "node:fs";
import { resolve } from "node:path";
import { Failure } from "#host/errors/failure.ts";
import { readLongText, requireWritable, writeOver } from "./files.ts";
import type { Io } from "./io.ts";

/** Fails with `file-exists` when something else than a page whose title begins with `title` has that name, before any work is done. */
export function requirePage(io: Io, file: string, title: string): void {
  if (existsSync(resolve(io.cwd, file)) && !readLongText(io, file).includes(`<title>${title}`)) {
    const what = `${file} already exists and is not a page titled "${title.trim()}"`;
    throw new Failure("file-exists", { what });
  }
  requireWritable(io, file);
}

/** Writes a page whose title begins with `title`. Fails as `requirePage` does. */
export function writePage(io: Io, file: string, html: string, title: string): void {
  requirePage(io, file, title);
  writeOver(io, file, html);
}
