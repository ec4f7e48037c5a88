// Settings as a controller holds them: read, held against its own check sum and the rules, as a document.
import { crc32c } from "#host/codec/crc32c.ts";
import { Failure } from "#host/errors/failure.ts";
import { requireFit } from "#host/link/device.ts";
import { readSettings } from "#host/link/transfer.ts";
import { hex8 } from "#host/settings/hash.ts";
import { validate } from "#shared-schema/rules/validate.ts";
import { type Document, fromBytes, unpack } from "#shared-schema/settings/pack.ts";
import type { Session } from "../session.ts";
import type { Connection } from "./connect.ts";

/** What a controller holds. */
export interface Held {
  readonly document: Document;
  readonly block: Uint8Array;
  readonly hash: string;
}

/** Reads and checks. Fails with `no-settings`, `schema-mismatch`, `protocol-mismatch`, `read-back-differs` or a link error. */
export async function readDocument(session: Session, { client, device }: Connection): Promise<Held> {
  requireFit(device);
  if (device.slot === "none") throw new Failure("no-settings", { data: { board: device.boardId } });
  const show = session.progress("read");
  const block = await readSettings(client, show.update);
  show.end();
  const words = fromBytes(block);
  if (crc32c(block) !== device.settingsCrc || validate(words).length > 0)
    throw new Failure("read-back-differs", {
      what: "the settings read do not match what the controller says of them",
    });
  return { document: unpack(words), block, hash: hex8(crc32c(block)) };
}

/** The settings in force, without a word about it; undefined when there are none. Fails with a link error. */
export async function settingsInForce({ client, device }: Connection): Promise<Document | undefined> {
  if (device.slot === "none") return undefined;
  const block = await readSettings(client);
  return crc32c(block) === device.settingsCrc ? unpack(fromBytes(block)) : undefined;
}
