// The page of a plan as a file; only a page that a plan wrote before is ever replaced.
import { existsSync } from "node:fs";
import { resolve } from "node:path";
import { Failure } from "#host/errors/failure.ts";
import { readLongText, writeNew, writeOver } from "../files.ts";
import type { Io } from "../io.ts";

/** Writes a page whose title begins with `title`. Fails with `file-exists` when something else has that name. */
export function writePage(io: Io, file: string, html: string, title: string): void {
  if (!existsSync(resolve(io.cwd, file))) {
    writeNew(io, file, html);
    return;
  }
  if (!readLongText(io, file).includes(`<title>${title}`)) {
    const what = `${file} already exists and is not a page of this kind that a plan wrote`;
    throw new Failure("file-exists", { what });
  }
  writeOver(io, file, html);
}
