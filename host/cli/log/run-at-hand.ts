// A run that is to be looked at: out of a controller's log, or out of a run file.
import { existsSync } from "node:fs";
import { resolve } from "node:path";
import { Failure } from "#host/errors/failure.ts";
import { type ReadRunFile, readRunFile, type SettingsBlock } from "#host/logbook/run-file/run-file.ts";
import type { Run } from "#host/logbook/runs.ts";
import type { Piece } from "#host/replay/exact/pieces.ts";
import { BAUD_MAX } from "#shared-schema/link/messages.ts";
import { requireKind } from "../file-kind.ts";
import { readBytes } from "../files.ts";
import type { Io } from "../io.ts";
import type { PortOptions } from "../line/connect.ts";
import type { Session } from "../session.ts";
import { MOST_RUN } from "./pull.ts";
import type { Wanted } from "./pulled.ts";

/** A run in a controller's log, or the name of a run file. */
export type RunOrFile = Wanted | { readonly file: string };

/** A run with the settings that it was recorded with, where they are known, and the number of its board. */
export interface RunAtHand {
  readonly run: Run;
  readonly settings: SettingsBlock | undefined;
  readonly board: string | undefined;
  /** What the core has read, tick by tick, where it is kept. */
  readonly pieces: readonly Piece[];
  /** What is not whole of its file, in words. */
  readonly lacks: readonly string[];
}

/** Reads the argument of a command: the name of a file that is there, `last`, a number, or else a file that is not there. */
export function runOrFile({ cwd }: Pick<Io, "cwd">, text: string): RunOrFile {
  if (existsSync(resolve(cwd, text))) return { file: text };
  if (text === "last") return text;
  const number = /^\d+$/u.test(text) ? Number(text) : 0;
  return number >= 1 && number <= MOST_RUN ? number : { file: text };
}

/** A run file by its name. Fails with `no-file` and with `not-a-run-file`. */
export function runFileNamed(io: Io, name: string): ReadRunFile {
  const bytes = readBytes(io, name);
  requireKind(io, name, "run");
  try {
    return readRunFile(bytes);
  } catch (thrown) {
    if (!(thrown instanceof Failure)) throw thrown;
    throw new Failure(thrown.code, { what: `${name}: ${thrown.message}`, data: { file: name } });
  }
}

async function fromFile(session: Session, file: string): Promise<RunAtHand> {
  const { runOf } = await import("#host/logbook/runs.ts");
  const { piecesOf } = await import("#host/replay/exact/pieces.ts");
  const { pages, settings, facts, lacks } = runFileNamed(session.io, file);
  return { run: runOf(pages), settings, board: facts?.board, pieces: piecesOf(pages), lacks };
}

/** Fails with `no-run`, `log-busy`, `no-file`, `not-a-run-file`, or as a request does. */
export async function runAtHand(
  session: Session,
  which: RunOrFile,
  options: PortOptions,
  baud = BAUD_MAX,
): Promise<RunAtHand> {
  if (typeof which === "object") return fromFile(session, which.file);
  const { withController } = await import("../line/connect.ts");
  const { pulled } = await import("./pulled.ts");
  const { piecesOf } = await import("#host/replay/exact/pieces.ts");
  const { run, settings, facts, pages } = await withController(session, options, (connection) =>
    pulled(session, connection, which, { baud, ticks: true }),
  );
  return { run, settings, board: facts.board, pieces: piecesOf(pages), lacks: [] };
}
