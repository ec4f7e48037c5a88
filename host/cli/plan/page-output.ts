// The page of a plan as a file; only a page that a plan wrote before is ever replaced.
import { existsSync } from "node:fs";
import { resolve } from "node:path";
import { Failure } from "#host/errors/failure.ts";
import { readText, writeNew, writeOver } from "../files.ts";
import type { Io } from "../io.ts";

const MARK = "<title>Plan for ";

/** Writes the page. Fails with `file-exists` when something else has that name. */
export function writePage(io: Io, file: string, html: string): void {
  if (!existsSync(resolve(io.cwd, file))) {
    writeNew(io, file, html);
    return;
  }
  if (!readText(io, file).includes(MARK)) {
    throw new Failure("file-exists", { what: `${file} already exists and is not the page of a plan` });
  }
  writeOver(io, file, html);
}
