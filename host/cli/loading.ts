// Loading step by step: fit, off, what changes, one question, write, read back, compare. Says what is active at the end, or that it cannot know.
import { Failure } from "#host/errors/failure.ts";
import { type Hello, hello, requireFit } from "#host/link/device.ts";
import { readSettings, type Stored, writeSettings } from "#host/link/transfer.ts";
import { diffLines } from "#host/report/terminal-diff.ts";
import { type Change, diffDocuments } from "#host/settings/diff.ts";
import { askYes } from "./ask.ts";
import { type Connection, withController } from "./connect.ts";
import { type Held, readDocument } from "./device-settings.ts";
import type { LoadOptions } from "./load.ts";
import type { Result, Session } from "./session.ts";
import type { GoodFile } from "./settings-file.ts";

export const LOADED = "LOADED";
export const NOT_LOADED = "NOT LOADED, the old settings are still active";
/** The line went between the request to store and its answer, and did not come back. */
export const NOT_CONFIRMED =
  "NOT CONFIRMED, the old or the new settings are active, whole in either case; see headgate status";

/** What one load came to. */
interface Done {
  readonly stored?: Stored;
  readonly held: Held | undefined;
  readonly changes: readonly Change[];
}

function requireOff({ mode, boardId }: Hello): void {
  if (mode !== "off")
    throw new Failure("not-off", {
      what: `the controller is ${mode}`,
      expected: "off",
      data: { board: boardId },
    });
}

async function heldBy(session: Session, connection: Connection): Promise<Held | undefined> {
  return connection.device.slot === "none" ? undefined : readDocument(session, connection);
}

/** After a failure while storing: asks a fresh line which settings are active. */
async function confirm(
  session: Session,
  port: string,
  options: LoadOptions,
  file: GoodFile,
): Promise<boolean> {
  const active = await withController(
    session,
    { ...options, port },
    async ({ device }) => device.settingsCrc,
  );
  return active === Number.parseInt(file.hash, 16);
}

/** Writes and proves it. Sets the verdict as soon as it is no longer sure that the old settings are active. */
async function write(session: Session, connection: Connection, file: GoodFile): Promise<Stored> {
  const { client } = connection;
  const show = session.progress("write");
  const committing = (): void => {
    session.verdict = NOT_CONFIRMED;
  };
  const stored = await writeSettings(client, file.block, { progress: show.update, committing }).catch(
    (thrown) => {
      const refused = thrown instanceof Failure && !isLinkFailure(thrown);
      if (refused) session.verdict = NOT_LOADED;
      throw thrown;
    },
  );
  show.end();
  const back = await readSettings(client);
  if (!Buffer.from(back).equals(file.block)) throw new Failure("read-back-differs");
  const { settingsCrc } = await hello(client);
  if (settingsCrc !== Number.parseInt(file.hash, 16)) throw new Failure("read-back-differs");
  return stored;
}

const LINK_CODES: readonly string[] = ["link-lost", "link-timeout", "silent", "not-headgate", "interrupted"];
const isLinkFailure = (thrown: unknown): boolean =>
  thrown instanceof Failure && LINK_CODES.includes(thrown.code);

async function steps(
  session: Session,
  options: LoadOptions,
  file: GoodFile,
  connection: Connection,
): Promise<Done> {
  const { device } = connection;
  requireFit(device);
  requireOff(device);
  const held = await heldBy(session, connection);
  const changes = diffDocuments(held?.document, file.document);
  if (held?.hash === file.hash) return { held, changes };
  for (const line of diffLines(changes, held === undefined, session.width, session.paint)) session.talk(line);
  await askYes(session, `Load ${file.file} into board ${device.boardId}?`, options.yes === true);
  return { held, changes, stored: await write(session, connection, file) };
}

/** Loads a checked file. Fails as its steps do; the session's verdict then says what is active. */
export async function loadSettings(session: Session, options: LoadOptions, file: GoodFile): Promise<Result> {
  session.verdict = NOT_LOADED;
  let reached: Connection | undefined;
  const done = await withController(session, options, (connection) => {
    reached = connection;
    return steps(session, options, file, connection);
  }).catch(async (thrown) => {
    const open = session.verdict === NOT_CONFIRMED && isLinkFailure(thrown);
    if (!reached || !open) throw thrown;
    session.talk("the line was lost while the controller stored; asking it again which settings are active");
    const loaded = await confirm(session, reached.port, options, file).catch(() => undefined);
    if (loaded === false) session.verdict = NOT_LOADED;
    if (!loaded) throw thrown;
    return undefined;
  });
  session.verdict = LOADED;
  return receipt(session, file, reached!.device, done);
}

function receipt(session: Session, file: GoodFile, device: Hello, done: Done | undefined): Result {
  const how = done?.stored
    ? `slot ${done.stored.slot}, number ${done.stored.sequence}, read back and equal`
    : "already active";
  return {
    data: {
      file: file.file,
      board: device.boardId,
      hash: file.hash,
      before: done?.held?.hash ?? null,
      stored: done?.stored ?? null,
      changes: done?.changes ?? null,
    },
    lines: [
      `board ${device.boardId}: settings ${file.hash} of ${file.file}, ${done ? how : "confirmed after the line was lost"}`,
      session.paint.good(LOADED),
    ],
  };
}
