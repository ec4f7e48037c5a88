// Errors of a car file as lines: position, what is wrong, what to do.
import type { CarFileError } from "#host/plan/input/read.ts";
import { labelled, wrap } from "../terminal/wrap.ts";

/** All errors, in file order, wrapped to a width. */
export function carErrorLines(file: string, errors: readonly CarFileError[], width: number): string[] {
  return errors.flatMap((error) => [
    `${file}:${error.line}:${error.column}  ${error.path || "file"}`,
    ...wrap(`  ${error.message}`, width - 2).map((line) => `  ${line}`),
    ...labelled("  do:", error.remedy, width),
    "",
  ]);
}
