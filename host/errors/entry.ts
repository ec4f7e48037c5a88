// The form of one row in the tables of error codes: everything that can be said without knowing the particular case.
import type { ExitCode } from "./exit.ts";

/** One error. `todo` is the remedy in one sentence, `long` the page that `headgate explain` prints below it. */
export interface ErrorEntry {
  readonly exit: ExitCode;
  readonly what: string;
  readonly todo: string;
  readonly long: string;
}
