// One question, asked only where somebody can answer; everywhere else an option must have answered it.
import { createInterface } from "node:readline/promises";
import { Failure } from "#host/errors/failure.ts";
import { widthOf } from "#host/report/terminal/terminal.ts";
import { wrap } from "#host/report/terminal/wrap.ts";
import type { Session } from "./session.ts";

/**
 * The line that somebody types after a question; undefined when the input ends instead (Ctrl-D). Fails with `interrupted`
 * on Ctrl-C, which a terminal in raw mode hands to the program as a key and not as a signal.
 */
export async function answerTo({ io }: Session, question: string): Promise<string | undefined> {
  const { stdin, stderr, signal } = io;
  const lines = createInterface({ input: stdin, output: stderr as unknown as NodeJS.WritableStream });
  const asked = wrap(question.trimEnd(), widthOf(stderr) - 1, 2);
  const ended = new Promise<undefined>((resolve, reject) => {
    lines.once("SIGINT", () => reject(new Failure("interrupted")));
    lines.once("close", () => resolve(undefined));
  });
  try {
    for (const line of asked.slice(0, -1)) stderr.write(`${line}\n`);
    return await Promise.race([lines.question(`${asked.at(-1)} `, { signal }), ended]);
  } catch (thrown) {
    throw signal.aborted ? new Failure("interrupted") : thrown;
  } finally {
    lines.close();
  }
}

/** Fails with `needs-answer` where nobody can answer: in a pipe, a script or a build server. */
export function requireTerminal(session: Session, question: string, flag: string): void {
  if (session.interactive) return;
  throw new Failure("needs-answer", {
    what: `confirmation needed, but this is not a terminal: ${question}`,
    todo: `give ${flag} to confirm beforehand`,
  });
}

/** Ends quietly when the answer is yes. Fails with `needs-answer`, `declined` or `interrupted`. */
export async function askYes(
  session: Session,
  question: string,
  yes: boolean,
  flag = "--yes",
): Promise<void> {
  if (yes) return;
  requireTerminal(session, question, flag);
  const answer = await answerTo(session, `${question} [y/N] `);
  if (!/^\s*y(es)?\s*$/i.test(answer ?? "")) throw new Failure("declined");
}
