// Loading step by step: fit, off, copy, what changes, one question, write and verify, receipt. Goes on after a lost line where it may.
import { basename } from "node:path";
import { Failure } from "#host/errors/failure.ts";
import { systemWords } from "#host/errors/system-words.ts";
import { boardIdOf, boardWords, drawBoardNumber, NO_BOARD_ID } from "#host/link/board-number.ts";
import type { LinkClient } from "#host/link/client.ts";
import { type Hello, requireFit, status } from "#host/link/device.ts";
import { numberOf } from "#host/link/payload.ts";
import type { Stored } from "#host/link/transfer.ts";
import { type Copy, keepCopy } from "#host/settings/copies.ts";
import { dataFolder } from "#host/settings/data-folder.ts";
import { type Change, diffDocuments } from "#host/settings/diff.ts";
import { type Weakening, weakenings } from "#host/settings/protection.ts";
import { SWITCH_BITS } from "#shared-schema/model/blocks.ts";
import { type Connection, withController } from "../line/connect.ts";
import { type Held, readDocument } from "../line/device-settings.ts";
import { LOAD_REMINDER } from "../reminders.ts";
import type { Result, Session } from "../session.ts";
import {
  type Active,
  activeNow,
  type Expected,
  failureOf,
  requireBoard,
  unconfirmed,
  verdictOf,
} from "./active.ts";
import { askLoad } from "./ask-weakened.ts";
import type { ToLoad } from "./loadable.ts";
import { rememberName } from "./names.ts";
import type { LoadOptions } from "./options.ts";
import { askOtherBoard, otherBoardTexts, rememberBoard } from "./other-board.ts";
import { loadQuestion, settingsWords } from "./question.ts";
import { dryResult, showLoad } from "./show-load.ts";
import { LOADED, NONE_ACTIVE, NOT_CONFIRMED, NOT_LOADED, OLD_ACTIVE } from "./verdict.ts";
import { isLinkFailure, writeAndVerify } from "./write-and-verify.ts";

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
  /** The board that was found first, as it called itself. */
  found?: string;
  /** Drawn for a board that has no number yet. */
  boardNumber?: number;
  /** What the controller may hold from the first write on. */
  expected?: Expected;
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
export function copyOf(session: Session, boardId: string, { document }: Held, before: string): Copy {
  return copied(() => keepCopy(dataFolder(session.io.env), boardId, document, session.io.now(), before));
}

/** What the file system throws while a copy is kept becomes `copy-failed`. */
export function copied(keep: () => Copy): Copy {
  try {
    return keep();
  } catch (cause) {
    throw new Failure("copy-failed", {
      what: `no copy of the present settings could be kept: ${systemWords(cause)}`,
      cause,
    });
  }
}

/** What a copy is kept before, in the words of `headgate history`. */
const purposeOf = ({ command }: Session, { file, copy }: ToLoad): string =>
  copy ? command : `${command} of ${basename(file)}`;

/** Shows what would happen, and asks. Fails with `needs-answer` or `declined`. */
async function agree(
  session: Session,
  options: LoadOptions,
  what: ToLoad,
  device: Hello,
  { held, copy, changes }: Done,
): Promise<void> {
  if (copy) session.talk(`copy of the present settings: ${copy.path}`);
  const saidAfter = (weakened: readonly Weakening[]): string[] => [
    ...otherBoardTexts(session, what, device),
    LOAD_REMINDER,
    `${loadQuestion(what, device, weakened)} [y/N]`,
  ];
  const weakened = showLoad(session, { before: held?.document, what, changes, saidAfter });
  await askOtherBoard(session, what, device, options.otherBoard === true);
  await askLoad(session, options, what, device, weakened);
}

/** A controller without settings is off whatever the arm switch says, and would arm the moment it has some. Fails with `arm-switch-on`. */
async function requireArmSwitchOff(client: LinkClient): Promise<void> {
  const switches = numberOf(await status(client), "switches");
  if ((switches >> SWITCH_BITS.arm) & 1) throw new Failure("arm-switch-on");
}

/** The number that this load offers the board: 0 when it has one. Fails with `board-changed` when it is not the board found first. */
function numberFor(device: Hello, course: Course): number {
  const { boardId } = device;
  const given = course.boardNumber !== undefined && boardId === boardIdOf(course.boardNumber);
  if (course.found !== undefined && !given) requireBoard(device, course.found);
  course.found ??= boardId;
  if (boardId !== NO_BOARD_ID) return 0;
  course.boardNumber ??= drawBoardNumber();
  return course.boardNumber;
}

/** Reads what is active before the load; from then on it is known what is still active while nothing has been written. */
async function before(session: Session, connection: Connection): Promise<Held | undefined> {
  const none = connection.device.slot === "none";
  const held = none ? undefined : await readDocument(session, connection);
  session.verdict = none ? NONE_ACTIVE : OLD_ACTIVE;
  return held;
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
  await requireArmSwitchOff(connection.client);
  const boardNumber = numberFor(device, course);
  const boardId = boardNumber ? boardIdOf(boardNumber) : device.boardId;
  const held = await before(session, connection);
  const changes = diffDocuments(held?.document, what.document);
  if (options.dryRun) return { held, copy: undefined, changes };
  const copy = held && copyOf(session, boardId, held, purposeOf(session, what));
  course.expected = { before: held?.block, wanted: what.block, boardId };
  if (held?.hash === what.hash && !boardNumber) return { held, copy, changes };
  if (!course.agreed) {
    await agree(session, options, what, device, { held, copy, changes });
    course.agreed = true;
  }
  const how = { baud: options.transferBaud, boardNumber };
  const stored = await writeAndVerify(session, connection, course.expected, how);
  return { held, copy, changes, stored };
}

/** After a failure while storing: asks on a fresh line which settings are active. */
async function confirm(
  session: Session,
  options: LoadOptions,
  expected: Expected,
  port: string,
): Promise<Active> {
  session.talk("the line was lost while the controller stored; asking it again which settings are active");
  return withController(session, { ...options, port }, ({ client }) => activeNow(client, expected));
}

/** The line was lost after the request to store: true when the new settings are active; else it fails with what was read. */
async function afterStoring(
  session: Session,
  options: LoadOptions,
  expected: Expected,
  port: string,
  thrown: unknown,
): Promise<boolean> {
  const active = await confirm(session, options, expected, port).catch((second: unknown) => {
    throw second instanceof Failure && second.code === "board-changed"
      ? second
      : unconfirmed(thrown, expected);
  });
  if (active === "new") return true;
  session.verdict = verdictOf(active);
  throw active === "neither" ? failureOf(active) : thrown;
}

/** Decides what a lost line means: true to go on as loaded, false to try again; else it fails. */
async function afterLoss(
  session: Session,
  options: LoadOptions,
  course: Course,
  thrown: unknown,
): Promise<boolean> {
  const { connection, expected } = course;
  if (!isLinkFailure(thrown) || !connection) throw thrown;
  if (session.verdict === NOT_CONFIRMED && expected)
    return afterStoring(session, options, expected, connection.port, thrown);
  const interrupted = thrown instanceof Failure && thrown.code === "interrupted";
  if (interrupted || session.io.signal.aborted || !options.wait) throw thrown;
  session.talk("the line was lost; the load goes on where it stopped when the line is back");
  return false;
}

/** Loads checked settings. Fails as its steps do; the session's verdict then says what was seen to be active. */
export async function loadSettings(session: Session, options: LoadOptions, what: ToLoad): Promise<Result> {
  session.verdict = NOT_LOADED;
  const course: Course = { agreed: false };
  for (let tries = 1; ; tries++) {
    try {
      const done = await withController(session, options, (connection) => {
        course.connection = connection;
        return steps(session, options, what, connection, course);
      });
      return options.dryRun
        ? dryResult(session, what, done.held, done.changes)
        : receipt(session, what, course, done);
    } catch (thrown) {
      const last = tries === MOST_TRIES ? { ...options, wait: 0 } : options;
      if (await afterLoss(session, last, course, thrown)) return receipt(session, what, course, undefined);
    }
  }
}

function receipt(session: Session, what: ToLoad, course: Course, done: Done | undefined): Result {
  session.verdict = LOADED;
  const boardId = course.expected?.boardId ?? NO_BOARD_ID;
  const numbered = course.boardNumber !== undefined;
  rememberBoard(session, what, boardId);
  rememberName(session, what);
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
      weakened: done?.held ? weakenings(done.held.document, what.document) : [],
      migrated: what.migrated,
    },
    lines: [
      ...(numbered ? [`this controller had no number yet; it is now ${boardId}`] : []),
      ...session.wrapped(
        `${boardWords(boardId)}: ${settingsWords(what)}, ${done ? how : "confirmed after the line was lost"}`,
        ...(done?.copy && stored ? ["headgate undo puts the previous settings back"] : []),
      ),
      session.paint.good(LOADED),
    ],
  };
}
