// The last part of a load: write, read back, compare, and know at every moment which settings are active.
import { Failure } from "#host/errors/failure.ts";
import { hello } from "#host/link/device.ts";
import { atSpeed } from "#host/link/speed.ts";
import { readSettings, type Stored, writeSettings } from "#host/link/transfer.ts";
import { BAUD_MAX } from "#shared-schema/link/messages.ts";
import type { Connection } from "../line/connect.ts";
import type { Session } from "../session.ts";
import type { ToLoad } from "./loadable.ts";
import { NOT_CONFIRMED, NOT_LOADED } from "./verdict.ts";

const LINK_CODES: readonly string[] = ["link-lost", "link-timeout", "silent", "not-headgate", "interrupted"];

/** Did the line fail, rather than the controller refuse? */
export const isLinkFailure = (thrown: unknown): boolean =>
  thrown instanceof Failure && LINK_CODES.includes(thrown.code);

/** Writes and stores. Sets the verdict while it is open which settings are active. */
async function store(
  session: Session,
  { client }: Connection,
  what: ToLoad,
  boardNumber: number,
): Promise<Stored> {
  const show = session.progress("write");
  const committing = (): void => {
    session.verdict = NOT_CONFIRMED;
  };
  try {
    return await writeSettings(client, what.block, { progress: show.update, committing }, boardNumber);
  } catch (thrown) {
    if (!isLinkFailure(thrown)) session.verdict = NOT_LOADED;
    throw thrown;
  } finally {
    show.end();
  }
}

/** What was stored, and the board as it says it is after that. */
export interface Proved {
  readonly stored: Stored;
  readonly boardId: string;
}

/** Writes and proves it: the whole block read back, and the controller's own check sum. Fails with `read-back-differs` too. */
export async function writeAndProve(
  session: Session,
  connection: Connection,
  what: ToLoad,
  { baud = BAUD_MAX, boardNumber }: { baud?: number | undefined; boardNumber: number },
): Promise<Proved> {
  const { client } = connection;
  const work = async (): Promise<Stored> => {
    const stored = await store(session, connection, what, boardNumber);
    const back = await readSettings(client);
    if (!Buffer.from(back).equals(what.block)) throw new Failure("read-back-differs");
    return stored;
  };
  const stored = await atSpeed(client, baud, work);
  const { settingsCrc, boardId } = await hello(client);
  if (settingsCrc !== Number.parseInt(what.hash, 16)) throw new Failure("read-back-differs");
  return { stored, boardId };
}
