// A run that is to be looked at: out of a controller's log, or out of a run file.
import type { SettingsBlock } from "#host/logbook/run-file/run-file.ts";
import type { Run } from "#host/logbook/runs.ts";
import type { Piece } from "#host/replay/exact/pieces.ts";
import { BAUD_MAX } from "#shared-schema/link/messages.ts";
import type { PortOptions } from "../line/connect.ts";
import { wholeNumber } from "../options.ts";
import type { Session } from "../session.ts";
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

const MOST_RUN = 0xffff_ffff;
const runNumber = wholeNumber(1, MOST_RUN);

/** Reads the argument of a command: `last`, a number, or else the name of a file. */
export function runOrFile(text: string): RunOrFile {
  if (text === "last") return text;
  return /^\d+$/u.test(text) ? runNumber(text) : { file: text };
}

async function fromFile(session: Session, file: string): Promise<RunAtHand> {
  const { readBytes } = await import("../files.ts");
  const { readRunFile } = await import("#host/logbook/run-file/run-file.ts");
  const { runOf } = await import("#host/logbook/runs.ts");
  const { piecesOf } = await import("#host/replay/exact/pieces.ts");
  const { pages, settings, facts, lacks } = readRunFile(readBytes(session.io, file));
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
