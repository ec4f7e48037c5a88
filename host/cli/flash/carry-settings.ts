// Settings over a change of the image: copied before it, and where the new one has another table, migrated and loaded after it.
import { crc32c } from "#host/codec/crc32c.ts";
import { Failure } from "#host/errors/failure.ts";
import type { ImageFacts } from "#host/image/header.ts";
import type { Hello } from "#host/link/device.ts";
import { readSettings } from "#host/link/transfer.ts";
import { type Copy, keepText } from "#host/settings/copies.ts";
import { dataFolder } from "#host/settings/data-folder.ts";
import { hex8 } from "#host/settings/hash.ts";
import { type PastLayout, pastBytes, pastLayout, textOfPast } from "#host/settings/past-layouts.ts";
import { FINGERPRINT } from "#shared-schema/generated/fingerprint.ts";
import { PROTOCOL_VERSION } from "#shared-schema/link/messages.ts";
import type { Connection } from "../line/connect.ts";
import { readDocument } from "../line/device-settings.ts";
import { copied, copyOf, loadSettings } from "../load/load-settings.ts";
import { namesByHash } from "../load/names.ts";
import { NOT_CONFIRMED, NOT_WHOLE } from "../load/verdict.ts";
import type { Result, Session } from "../session.ts";
import { goodFile } from "../settings/settings-file.ts";
import type { FlashOptions } from "./options.ts";

const BEFORE_FLASH = "flash of an image";

/** Last line when the image is in and the settings are not. */
export const FLASHED_ONLY = "FLASHED, but no settings are active: nothing can flow until you load some";

/** Can this tool read what the controller holds? `hello` and `read` are the same in all versions of the messages so far. */
const isKnown = ({ protocol, fingerprint }: Hello): boolean =>
  fingerprint === FINGERPRINT
    ? protocol === PROTOCOL_VERSION
    : protocol <= PROTOCOL_VERSION && pastLayout(fingerprint) !== undefined;

/** Do settings of the controller mean the same to the image? */
export const keepsSettings = (device: Hello, image: ImageFacts): boolean =>
  device.slot !== "none" && device.fingerprint === image.fingerprint;

/** What will become of the settings, in one sentence; undefined when they just stay. */
export function fateOf(device: Hello, image: ImageFacts): string | undefined {
  if (device.slot === "none" || keepsSettings(device, image)) return undefined;
  const stays =
    "the image has another table of settings; the controller keeps its settings but will not use them";
  if (!isKnown(device))
    return `${stays}. This tool cannot read them: read them first with the tool that belongs to their image, and load a settings file after the flash`;
  if (image.fingerprint !== FINGERPRINT)
    return `${stays}. A copy is kept; load a settings file with the tool that belongs to the image after the flash`;
  const { version } = pastLayout(device.fingerprint) ?? {};
  return `${stays}. A copy is kept (version ${version}); after the flash it is migrated, every change is reported, and it is loaded`;
}

async function keepPast(session: Session, { client, device }: Connection, layout: PastLayout): Promise<Copy> {
  const block = await readSettings(client, undefined, pastBytes(layout));
  if (crc32c(block) !== device.settingsCrc || device.settingsBytes !== block.length)
    throw new Failure("read-back-differs", {
      what: "the settings read do not match what the controller says of them",
    });
  const { boardId } = device;
  const text = textOfPast(layout, block, `copy of board ${boardId}`);
  return copied(() =>
    keepText(
      dataFolder(session.io.env),
      boardId,
      { hash: hex8(device.settingsCrc), text, before: BEFORE_FLASH },
      session.io.now(),
    ),
  );
}

/** Keeps a copy of the settings in force, in the version of their image. Undefined when there are none that can be read. */
export async function copyBefore(session: Session, connection: Connection): Promise<Copy | undefined> {
  const { device } = connection;
  if (device.slot === "none" || !isKnown(device)) return undefined;
  const layout = pastLayout(device.fingerprint);
  const copy = layout
    ? await keepPast(session, connection, layout)
    : copyOf(session, device.boardId, await readDocument(session, connection), BEFORE_FLASH);
  session.talk(`copy of the settings: ${copy.path}`);
  return copy;
}

/**
 * Migrates the copy and loads it, after its own question. Fails as a load does, or with `bad-settings` where
 * something needs a person; the verdict then says that the image is in, and what to do is reported.
 */
export async function loadCopy(session: Session, options: FlashOptions, copy: Copy): Promise<Result> {
  session.verdict = FLASHED_ONLY;
  try {
    return await loadSettings(session, options, {
      ...goodFile(session, copy.path),
      copy: { name: namesByHash(session).get(copy.hash), kept: copy.date },
    });
  } catch (thrown) {
    if (session.verdict !== NOT_CONFIRMED && session.verdict !== NOT_WHOLE) session.verdict = FLASHED_ONLY;
    const needsWork = thrown instanceof Failure && thrown.code === "bad-settings";
    session.talk(
      needsWork
        ? `copy ${copy.path}, correct the places shown above, and load that file with headgate load`
        : `headgate load ${copy.path} loads them later`,
    );
    throw thrown;
  }
}
