// The one way in which work on the host ends early: a code out of the table, and what is known of this case.
import { ERRORS, type ErrorCode } from "./codes.ts";
import type { ExitCode } from "./exit.ts";

/** What is particular to one case. */
export interface FailureFacts {
  /** What happened, if it can be said more exactly than by the code alone. */
  readonly what?: string;
  readonly expected?: string;
  /** A better remedy than the general one; only when its cause was checked. */
  readonly todo?: string;
  /** Data for `--json`. */
  readonly data?: Readonly<Record<string, unknown>>;
  readonly cause?: unknown;
}

/** An expected failure. Everything else that is thrown is a mistake in the program (`bug`). */
export class Failure extends Error {
  override readonly name = "Failure";
  readonly code: ErrorCode;
  readonly exit: ExitCode;
  readonly expected: string | undefined;
  readonly todo: string;
  readonly data: Readonly<Record<string, unknown>>;

  constructor(code: ErrorCode, facts: FailureFacts = {}) {
    const entry = ERRORS[code];
    super(facts.what ?? entry.what, facts.cause === undefined ? {} : { cause: facts.cause });
    this.code = code;
    this.exit = entry.exit;
    this.expected = facts.expected;
    this.todo = facts.todo ?? entry.todo;
    this.data = facts.data ?? {};
  }
}

/** The error number of the operating system (`ENOENT`, ...) in something thrown, or an empty text. */
export function systemCode(thrown: unknown): string {
  const code = (thrown as { code?: unknown } | null)?.code;
  return typeof code === "string" ? code : "";
}

/** Message of something thrown. */
export function messageOf(thrown: unknown): string {
  return thrown instanceof Error ? thrown.message : String(thrown);
}
