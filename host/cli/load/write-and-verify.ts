// The last part of a load: write, read back, compare, and say at every moment only what was read.
import { Failure } from "#host/errors/failure.ts";
import { atSpeed } from "#host/link/speed.ts";
import { type Stored, writeSettings } from "#host/link/transfer.ts";
import { BAUD_MAX } from "#shared-schema/link/messages.ts";
import type { Connection } from "../line/connect.ts";
import type { Session } from "../session.ts";
import { activeNow, type Expected, failureOf, verdictOf } from "./active.ts";
import { NOT_CONFIRMED, NOT_LOADED } from "./verdict.ts";

const LINK_CODES: readonly string[] = [
  "link-lost",
  "link-timeout",
  "silent",
  "not-headgate",
  "line-echo",
  "interrupted",
];

/** Did the line fail, rather than the controller refuse? */
export const isLinkFailure = (thrown: unknown): boolean =>
  thrown instanceof Failure && LINK_CODES.includes(thrown.code);

/** Writes and stores. From the request to store until something is read, nobody knows which settings are active. */
async function store(
  session: Session,
  { client }: Connection,
  expected: Expected,
  boardNumber: number,
): Promise<Stored> {
  const show = session.progress("write");
  const committing = (): void => {
    session.verdict = NOT_CONFIRMED;
  };
  try {
    return await writeSettings(client, expected.wanted, { progress: show.update, committing }, boardNumber);
  } finally {
    show.end();
  }
}

/** Reads what is active and says so; fails unless it is what was sent. */
async function verify(session: Session, { client }: Connection, expected: Expected): Promise<void> {
  const active = await activeNow(client, expected);
  if (active === "new") return;
  session.verdict = verdictOf(active);
  throw failureOf(active);
}

/** The controller refused, and the line still stands: what it holds is read before anything is said of it. */
async function afterRefusal(
  session: Session,
  { client }: Connection,
  expected: Expected,
  thrown: unknown,
): Promise<never> {
  const active = await activeNow(client, expected).catch((second: unknown) => {
    if (second instanceof Failure && second.code === "board-changed") throw second;
    return undefined;
  });
  if (active === "new" || active === undefined) throw thrown;
  session.verdict = verdictOf(active);
  throw active === "neither" ? failureOf(active) : thrown;
}

/** Writes and verifies: the whole block read back, and the controller's own check sum. Fails as its steps do. */
export async function writeAndVerify(
  session: Session,
  connection: Connection,
  expected: Expected,
  { baud = BAUD_MAX, boardNumber }: { baud?: number | undefined; boardNumber: number },
): Promise<Stored> {
  session.verdict = NOT_LOADED;
  const work = async (): Promise<Stored> => {
    const stored = await store(session, connection, expected, boardNumber);
    await verify(session, connection, expected);
    return stored;
  };
  try {
    return await atSpeed(connection.client, baud, work);
  } catch (thrown) {
    if (isLinkFailure(thrown) || isVerdict(thrown)) throw thrown;
    return afterRefusal(session, connection, expected, thrown);
  }
}

/** Failures that were read from the controller already. */
const isVerdict = (thrown: unknown): boolean =>
  thrown instanceof Failure && ["read-back-differs", "not-stored", "board-changed"].includes(thrown.code);
