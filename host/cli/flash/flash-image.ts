// The way of an image into a controller: boot mode, copy, restart, and the controller's own word on what it now runs.
import { resolve } from "node:path";
import { crc32c } from "#host/codec/crc32c.ts";
import { Failure, messageOf } from "#host/errors/failure.ts";
import { type ImageFacts, imageFacts } from "#host/image/header.ts";
import { decodeUf2 } from "#host/image/uf2.ts";
import {
  type BootVolume,
  bootVolume,
  copyImage,
  findVolumes,
  onlyVolume,
  takesImage,
} from "#host/image/volume.ts";
import { boardWords, NO_BOARD_ID } from "#host/link/board-number.ts";
import type { Hello } from "#host/link/device.ts";
import { readSettings } from "#host/link/transfer.ts";
import { uptimeMs } from "#host/link/uptime.ts";
import type { Copy } from "#host/settings/copies.ts";
import { FINGERPRINT } from "#shared-schema/generated/fingerprint.ts";
import { PROTOCOL_VERSION } from "#shared-schema/link/messages.ts";
import { askYes } from "../ask.ts";
import { readBytes } from "../files.ts";
import { type Connection, isPractice, withController } from "../line/connect.ts";
import { keptSettingsAdvice } from "../line/kept-settings-advice.ts";
import { runningPractice } from "../line/practice-record.ts";
import { requireBoard } from "../load/active.ts";
import { packageFile } from "../package-file.ts";
import { FLASH_REMINDER } from "../reminders.ts";
import type { Result, Session } from "../session.ts";
import { copyBefore, fateOf, keepsSettings, loadCopy } from "./carry-settings.ts";
import type { FlashOptions } from "./options.ts";

/** Last lines of the command. */
export const NOT_FLASHED = "NOT FLASHED, the image on the controller is as it was";
const NOT_CONFIRMED =
  "NOT CONFIRMED, the image was sent; ask the controller with headgate status before it is armed";
const FLASHED = "FLASHED";

const LOOK_AGAIN_MS = 200;
/** Longest time that a board takes to leave its boot mode after the last block of an image (from memory, with room). */
const LEAVE_MS = 15_000;
const BY_BUTTON =
  "or flash it over USB: supply off, hold the BOOTSEL button while the USB cable is plugged in, then supply on, and run the same command again";
/** The boot mode shows up as a volume within some seconds, and somebody may have to mount it. */
const VOLUME_MS = 20_000;
/** From the copy to an answer: erase and program of the image, the start, and the port when it shares the USB cable. */
const ANSWER_S = 30;

interface Image extends ImageFacts {
  readonly uf2: Uint8Array;
}

const hex = (number: number): string => number.toString(16).padStart(8, "0");

function readImage(session: Session, name: string | undefined): Image {
  const path = name ?? packageFile("firmware", "image", "headgate.uf2");
  const uf2 = readBytes(session.io, path);
  let why = "its own check sum is wrong";
  try {
    const facts = imageFacts(decodeUf2(uf2).bytes);
    if (facts) return { ...facts, uf2 };
  } catch (thrown) {
    why = messageOf(thrown);
  }
  throw new Failure("bad-image", { what: `${path}: ${why}`, data: { image: path } });
}

/** The board in boot mode now, if any. Fails with `many-volumes` or `other-volume`. */
function volumeNow(session: Session, named: string | undefined): BootVolume | undefined {
  if (named === undefined) return onlyVolume(findVolumes());
  const volume = bootVolume(resolve(session.io.cwd, named));
  if (volume && !takesImage(volume))
    throw new Failure("other-volume", { what: `${named} says it is ${volume.boardId} (${volume.model})` });
  return volume;
}

async function waitForVolume(session: Session, named: string | undefined): Promise<BootVolume> {
  const { clock, signal } = session.io;
  const untilMs = clock.nowMs() + VOLUME_MS;
  for (;;) {
    const volume = volumeNow(session, named);
    if (volume) return volume;
    if (signal.aborted) throw new Failure("interrupted");
    if (clock.nowMs() > untilMs) throw new Failure("no-volume");
    await new Promise<void>((done) => void clock.after(LOOK_AGAIN_MS, done));
  }
}

/** Waits until the board has left its boot mode. Fails with `stays-in-boot` when it does not. */
async function waitUntilGone(session: Session, { folder }: BootVolume): Promise<void> {
  const { clock, signal } = session.io;
  const untilMs = clock.nowMs() + LEAVE_MS;
  while (bootVolume(folder)) {
    if (signal.aborted) throw new Failure("interrupted");
    if (clock.nowMs() > untilMs) throw new Failure("stays-in-boot", { data: { volume: folder } });
    await new Promise<void>((done) => void clock.after(LOOK_AGAIN_MS, done));
  }
}

/** Is it the board that took the image? It has started since `copiedMs` and has the number that it had. */
async function requireSameBoard(
  { client, device }: Connection,
  copiedMs: number,
  before: Hello | undefined,
): Promise<void> {
  const numbered = before !== undefined && before.boardId !== NO_BOARD_ID;
  if (numbered && device.boardId !== NO_BOARD_ID) requireBoard(device, before.boardId);
  if (device.protocol !== PROTOCOL_VERSION) return;
  if ((await uptimeMs(client)) > client.clock.nowMs() - copiedMs) throw new Failure("not-restarted");
}

const settingsOf = (device: Hello): string =>
  device.slot === "none" ? "no active settings" : `settings ${hex(device.settingsCrc)}`;

function plan(session: Session, image: Image, device: Hello | undefined): void {
  session.talk(`image ${image.version}, check sum ${hex(image.crc)}`);
  if (!device) return;
  session.talk(
    `${boardWords(device.boardId)} runs ${device.imageVersion}, ${hex(device.imageCrc)}; ${settingsOf(device)}`,
  );
  const fate = fateOf(device, image);
  if (fate !== undefined) session.talk(fate);
}

/** A controller as it was before, with the copy of its settings when one could be kept. */
interface Before {
  readonly device: Hello;
  readonly copy: Copy | undefined;
}

async function askFlash(session: Session, what: string, { yes }: FlashOptions): Promise<void> {
  session.talk(FLASH_REMINDER);
  await askYes(session, `Flash ${what}?`, yes === true);
}

/** A running controller, its settings copied, asked into its boot mode. */
async function restartIntoBoot(session: Session, options: FlashOptions, image: Image): Promise<Before> {
  return withController(session, options, async (connection) => {
    const { client, device } = connection;
    plan(session, image, device);
    if (options.dryRun) return { device, copy: undefined };
    if (device.mode !== "off") throw new Failure("not-off");
    const copy = await copyBefore(session, connection);
    await askFlash(session, boardWords(device.boardId), options);
    await client.request("restart", { target: 1 });
    session.talk("the controller goes into its boot mode");
    return { device, copy };
  });
}

/** A controller that no line leads to can be flashed all the same: its failure says how. Throws what it was given otherwise. */
function orByButton(thrown: unknown): never {
  const noLine = thrown instanceof Failure && ["no-port", "silent"].includes(thrown.code);
  if (!noLine) throw thrown;
  const { code, message: what, todo, data } = thrown;
  throw new Failure(code, { what, todo: `${todo}; ${BY_BUTTON}`, data, cause: thrown });
}

/** The folder to look in: the one named; that of the practice board where it is the port; else none, and mounted volumes are searched. */
const volumeNamed = (session: Session, options: FlashOptions): string | undefined =>
  options.volume ?? (isPractice(session, options) ? runningPractice(session.io).volume : undefined);

/** The whole of the work. Fails as its steps do; the session's verdict then says how far it came. */
export async function flashImage(session: Session, options: FlashOptions): Promise<Result> {
  const image = readImage(session, options.image);
  const named = volumeNamed(session, options);
  const inBoot = volumeNow(session, named);
  const before = inBoot ? undefined : await restartIntoBoot(session, options, image).catch(orByButton);
  if (inBoot) plan(session, image, undefined);
  if (options.dryRun) return dryResult(session, image, before?.device, inBoot);
  if (inBoot) await askFlash(session, `the board in ${inBoot.folder}`, options);
  const volume = inBoot ?? (await waitForVolume(session, named));
  session.talk(`copying to ${volume.folder} (${volume.model})`);
  session.verdict = NOT_CONFIRMED;
  const copiedMs = session.io.clock.nowMs();
  const said = copyImage(volume, image.uf2);
  if (said !== undefined) session.talk(`the volume is gone (${said}); the controller's answer decides`);
  await waitUntilGone(session, volume);
  return confirm(session, options, image, before, copiedMs);
}

function dryResult(
  session: Session,
  image: Image,
  before: Hello | undefined,
  volume: BootVolume | undefined,
): Result {
  session.verdict = NOT_FLASHED;
  const way = volume
    ? `copied to ${volume.folder}`
    : "restarted into its boot mode over the line, then written";
  return {
    data: { dryRun: true, image: facts(image), before: before ?? null, volume: volume?.folder ?? null },
    lines: [...session.wrapped(`would be ${way}`), ...session.verdictLines(NOT_FLASHED)],
  };
}

const facts = ({ version, crc, fingerprint }: Image): ImageFacts => ({ version, crc, fingerprint });

/** What the controller says and gives back after its restart. */
async function askAfter(
  session: Session,
  options: FlashOptions,
  image: Image,
  before: Before | undefined,
  copiedMs: number,
): Promise<Hello> {
  return withController(session, { ...options, wait: ANSWER_S }, async (connection) => {
    const { client, device } = connection;
    await requireSameBoard(connection, copiedMs, before?.device);
    requireImage(device, image);
    if (device.slot !== "none" && device.fingerprint === FINGERPRINT) {
      const block = await readSettings(client);
      if (crc32c(block) !== device.settingsCrc) throw new Failure("settings-differ");
    }
    return device;
  });
}

/** The image is in when the controller says so; then its settings are seen to. */
async function confirm(
  session: Session,
  options: FlashOptions,
  image: Image,
  before: Before | undefined,
  copiedMs: number,
): Promise<Result> {
  const after = await askAfter(session, options, image, before, copiedMs);
  const kept = before !== undefined && keepsSettings(before.device, image);
  if (kept && after.settingsCrc !== before.device.settingsCrc)
    throw new Failure("settings-differ", {
      data: { before: before.device.settingsCrc, after: after.settingsCrc },
    });
  if (before && before.device.boardId !== NO_BOARD_ID) requireBoard(after, before.device.boardId);
  session.verdict = FLASHED;
  const copy = before?.copy;
  const same = after.boardId === before?.device.boardId && after.fingerprint === FINGERPRINT;
  const loaded =
    copy && same && after.slot === "none"
      ? await loadCopy(session, { ...options, wait: ANSWER_S }, copy)
      : undefined;
  return flashed(session, image, { before, after, kept, loaded });
}

function flashed(
  session: Session,
  image: Image,
  {
    before,
    after,
    kept,
    loaded,
  }: { before: Before | undefined; after: Hello; kept: boolean; loaded: Result | undefined },
): Result {
  session.verdict = FLASHED;
  const runs = `${boardWords(after.boardId)} runs ${after.imageVersion}, check sum ${hex(after.imageCrc)} good`;
  const settings = `${settingsOf(after)}${kept ? ", as before, read back whole" : ""}`;
  return {
    data: {
      board: after.boardId,
      image: facts(image),
      before: before?.device ?? null,
      copy: before?.copy?.path ?? null,
      after,
      settingsKept: kept,
      loaded: loaded?.data ?? null,
    },
    lines: [
      ...session.wrapped(runs),
      ...(loaded ? loaded.lines : [settings, ...session.wrapped(...keptSettingsAdvice(session, after))]),
      session.paint.good(FLASHED),
    ],
  };
}

/** Fails with `image-differs` unless the controller runs this very image, whole. */
function requireImage(device: Hello, image: Image): void {
  const same = device.imageCrc === image.crc && device.fingerprint === image.fingerprint;
  if (same && device.imageGood) return;
  throw new Failure("image-differs", {
    expected: `${image.version}, check sum ${hex(image.crc)}`,
    data: { imageVersion: device.imageVersion, imageCrc: device.imageCrc, imageGood: device.imageGood },
  });
}
