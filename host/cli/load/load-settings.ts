// Loading step by step: fit, off, copy, what changes, one question, write and prove, receipt. Goes on after a lost line where it may.
import { Failure } from "#host/errors/failure.ts";
import { boardIdOf, boardWords, drawBoardNumber, NO_BOARD_ID } from "#host/link/board-number.ts";
import { type Hello, requireFit } from "#host/link/device.ts";
import type { Stored } from "#host/link/transfer.ts";
import { diffLines } from "#host/report/terminal/diff.ts";
import { type Copy, keepCopy } from "#host/settings/copies.ts";
import { dataFolder } from "#host/settings/data-folder.ts";
import { type Change, diffDocuments } from "#host/settings/diff.ts";
import { askYes } from "../ask.ts";
import { type Connection, withController } from "../line/connect.ts";
import { type Held, readDocument } from "../line/device-settings.ts";
import type { Result, Session } from "../session.ts";
import type { ToLoad } from "./loadable.ts";
import type { LoadOptions } from "./options.ts";
import { askOtherBoard, rememberBoard } from "./other-board.ts";
import { LOADED, NOT_CONFIRMED, NOT_LOADED } from "./verdict.ts";
import { isLinkFailure, writeAndProve } from "./write-and-verify.ts";

/** How often a load that lost its line begins again, when it may wait for the line. */
const MOST_TRIES = 3;

/** What one load came to. */
interface Done {
  readonly stored?: Stored;
  readonly held: Held | undefined;
  readonly copy: Copy | undefined;
  readonly changes: readonly Change[];
}

/** What has happened so far, over all tries. */
interface Course {
  connection?: Connection;
  agreed: boolean;
  /** Drawn for a board that has no number yet. */
  boardNumber?: number;
  /** The board as it last said it is. */
  boardId: string;
}

function requireOff({ mode, boardId }: Hello): void {
  if (mode === "off") return;
  throw new Failure("not-off", {
    what: `the controller is ${mode}`,
    expected: "off",
    data: { board: boardId },
  });
}

/** Keeps a copy of what the controller holds; without one nothing goes on. Fails with `copy-failed`. */
export function copyOf(session: Session, boardId: string, { document }: Held): Copy {
  return copied(() => keepCopy(dataFolder(session.io.env), boardId, document, session.io.now()));
}

/** What the file system throws while a copy is kept becomes `copy-failed`. */
export function copied(keep: () => Copy): Copy {
  try {
    return keep();
  } catch (cause) {
    throw new Failure("copy-failed", {
      what: `no copy of the present settings could be kept: ${String(cause)}`,
      cause,
    });
  }
}

async function agree(session: Session, options: LoadOptions, what: ToLoad, device: Hello): Promise<void> {
  await askOtherBoard(session, what, device, options.otherBoard === true);
  await askYes(session, `Load ${what.file} into ${boardWords(device.boardId)}?`, options.yes === true);
}

/** The number that this load offers the board: 0 when it has one. */
function numberFor({ boardId }: Hello, course: Course): number {
  course.boardId = boardId;
  if (boardId !== NO_BOARD_ID) return 0;
  course.boardNumber ??= drawBoardNumber();
  return course.boardNumber;
}

async function steps(
  session: Session,
  options: LoadOptions,
  what: ToLoad,
  connection: Connection,
  course: Course,
): Promise<Done> {
  const { device } = connection;
  requireFit(device);
  requireOff(device);
  const boardNumber = numberFor(device, course);
  const held = device.slot === "none" ? undefined : await readDocument(session, connection);
  const copy = held && copyOf(session, boardNumber ? boardIdOf(boardNumber) : device.boardId, held);
  const changes = diffDocuments(held?.document, what.document);
  if (held?.hash === what.hash && !boardNumber) return { held, copy, changes };
  if (!course.agreed) {
    if (copy) session.talk(`copy of the present settings: ${copy.path}`);
    for (const line of diffLines(changes, held === undefined, session.width, session.paint))
      session.talk(line);
    await agree(session, options, what, device);
    course.agreed = true;
  }
  const how = { baud: options.transferBaud, boardNumber };
  const { stored, boardId } = await writeAndProve(session, connection, what, how);
  course.boardId = boardId;
  return { held, copy, changes, stored };
}

/** After a failure while storing: asks a fresh line which settings are active. */
async function confirm(
  session: Session,
  options: LoadOptions,
  what: ToLoad,
  course: Course,
  port: string,
): Promise<boolean> {
  session.talk("the line was lost while the controller stored; asking it again which settings are active");
  const now = await withController(session, { ...options, port }, async ({ device }) => device);
  course.boardId = now.boardId;
  return now.settingsCrc === Number.parseInt(what.hash, 16);
}

/** Decides what a lost line means: true to go on as loaded, false to try again; else it fails. */
async function afterLoss(
  session: Session,
  options: LoadOptions,
  what: ToLoad,
  course: Course,
  thrown: unknown,
): Promise<boolean> {
  if (!isLinkFailure(thrown) || !course.connection) throw thrown;
  if (session.verdict === NOT_CONFIRMED) {
    const loaded = await confirm(session, options, what, course, course.connection.port).catch(
      () => undefined,
    );
    if (loaded) return true;
    if (loaded === false) session.verdict = NOT_LOADED;
    throw thrown;
  }
  if (session.io.signal.aborted || !options.wait) throw thrown;
  session.talk("the line was lost; going on where it stopped when it is back");
  return false;
}

/** Loads checked settings. Fails as its steps do; the session's verdict then says what is active. */
export async function loadSettings(session: Session, options: LoadOptions, what: ToLoad): Promise<Result> {
  session.verdict = NOT_LOADED;
  const course: Course = { agreed: false, boardId: NO_BOARD_ID };
  for (let tries = 1; ; tries++) {
    try {
      const done = await withController(session, options, (connection) => {
        course.connection = connection;
        return steps(session, options, what, connection, course);
      });
      return receipt(session, what, course, done);
    } catch (thrown) {
      const last = tries === MOST_TRIES ? { ...options, wait: 0 } : options;
      if (await afterLoss(session, last, what, course, thrown))
        return receipt(session, what, course, undefined);
    }
  }
}

function receipt(session: Session, what: ToLoad, course: Course, done: Done | undefined): Result {
  session.verdict = LOADED;
  const { boardId, boardNumber } = course;
  const numbered = boardNumber !== undefined && boardId === boardIdOf(boardNumber);
  rememberBoard(session, what, boardId);
  const stored = done?.stored;
  const how = stored
    ? `slot ${stored.slot}, number ${stored.sequence}, read back and equal`
    : "already active";
  return {
    data: {
      file: what.file,
      board: boardId,
      numbered,
      hash: what.hash,
      before: done?.held?.hash ?? null,
      copy: done?.copy?.path ?? null,
      stored: stored ?? null,
      changes: done?.changes ?? null,
      migrated: what.migrated,
    },
    lines: [
      ...(numbered ? [`this controller had no number yet; it is now ${boardId}`] : []),
      ...session.wrapped(
        `${boardWords(boardId)}: settings ${what.hash} of ${what.file}, ${done ? how : "confirmed after the line was lost"}`,
        ...(done?.copy && stored ? ["headgate undo puts the previous settings back"] : []),
      ),
      session.paint.good(LOADED),
    ],
  };
}
