// One question, asked only where somebody can answer; everywhere else an option must have answered it.
import { createInterface } from "node:readline/promises";
import { Failure } from "#host/errors/failure.ts";
import type { Session } from "./session.ts";

/** Ends quietly when the answer is yes. Fails with `needs-answer`, `declined` or `interrupted`. */
export async function askYes(
  session: Session,
  question: string,
  yes: boolean,
  flag = "--yes",
): Promise<void> {
  if (yes) return;
  if (!session.interactive)
    throw new Failure("needs-answer", {
      what: `somebody must answer: ${question}`,
      todo: `give ${flag} to answer yes beforehand`,
    });
  const { stdin, stderr, signal } = session.io;
  const lines = createInterface({ input: stdin, output: stderr as unknown as NodeJS.WritableStream });
  try {
    const answer = await lines.question(`${question} [y/N] `, { signal });
    if (!/^\s*y(es)?\s*$/i.test(answer)) throw new Failure("declined");
  } catch (thrown) {
    throw signal.aborted ? new Failure("interrupted") : thrown;
  } finally {
    lines.close();
  }
}
