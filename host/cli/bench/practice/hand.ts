// Verbs in a second terminal: each is handed to the practice board that runs, over its loopback page.

import type { ErrorCode } from "#host/errors/codes.ts";
import { Failure } from "#host/errors/failure.ts";
import { runningPractice } from "../../line/practice-record.ts";
import type { Result, Session } from "../../session.ts";
import type { Look } from "./look.ts";
import { lookLines } from "./look-lines.ts";

interface Answer {
  readonly said: string;
  readonly look: Look;
  readonly error?: {
    readonly code: ErrorCode;
    readonly what: string;
    readonly expected?: string;
    readonly todo: string;
  };
}

async function ask(session: Session, words: readonly string[]): Promise<Answer> {
  const { url } = runningPractice(session.io);
  try {
    const response = await fetch(`${url}act`, {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify({ words }),
      signal: session.io.signal,
    });
    return (await response.json()) as Answer;
  } catch (thrown) {
    if (session.io.signal.aborted) throw new Failure("interrupted");
    throw new Failure("no-practice-board", { cause: thrown });
  }
}

/** Hands it over, and says what the board then does. Fails with `no-practice-board` or `usage`. */
export async function hand(session: Session, verb: string, words: readonly string[]): Promise<Result> {
  const { said, look, error } = await ask(session, [verb, ...words]);
  if (error) {
    const { code, what, expected, todo } = error;
    throw new Failure(code, { what, todo, ...(expected === undefined ? {} : { expected }) });
  }
  const lines = verb === "show" ? lookLines(look, session.width) : session.wrapped(said);
  return { data: { said, look }, lines };
}
