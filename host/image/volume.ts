// Boards in their boot mode, as mounted volumes: known by the text file that the UF2 specification puts on each, not by name.
import { closeSync, fsyncSync, openSync, readdirSync, readFileSync, writeSync } from "node:fs";
import { join } from "node:path";
import { Failure, messageOf } from "#host/errors/failure.ts";

/** What a boot volume says of itself (Microsoft UF2 specification, INFO_UF2.TXT). */
export interface BootVolume {
  readonly folder: string;
  readonly model: string;
  readonly boardId: string;
}

const INFO = "INFO_UF2.TXT";
/** Board of the boot ROM of an RP2040 (datasheet, section on USB mass storage). */
const BOARD = "RPI-RP2";
/** Name under which the image is put there; the boot ROM takes any. */
const IMAGE_NAME = "headgate.uf2";

/** Takes the text apart; undefined when it is not that of a UF2 boot loader. */
export function parseInfo(text: string): Omit<BootVolume, "folder"> | undefined {
  const lines = text.split(/\r?\n/);
  const textAfter = (key: string): string | undefined =>
    lines
      .find((line) => line.startsWith(`${key}:`))
      ?.slice(key.length + 1)
      .trim();
  const [model, boardId] = [textAfter("Model"), textAfter("Board-ID")];
  if (!lines[0]?.startsWith("UF2 Bootloader") || model === undefined || boardId === undefined)
    return undefined;
  return { model, boardId };
}

/** What a folder says it is; undefined when it is no UF2 volume. */
export function bootVolume(folder: string): BootVolume | undefined {
  try {
    const info = parseInfo(readFileSync(join(folder, INFO), "utf8"));
    return info && { folder, ...info };
  } catch {
    return undefined;
  }
}

/** Is this the kind of board that the image is for? */
export const takesImage = (volume: BootVolume): boolean => volume.boardId === BOARD;

/** Mount points out of the text of /proc/mounts; spaces stand there as octal escapes (proc(5)). */
export function mountPoints(mounts: string): string[] {
  return mounts
    .split("\n")
    .map((line) => line.split(" ")[1] ?? "")
    .filter((folder) => folder !== "")
    .map((folder) =>
      folder.replace(/\\([0-7]{3})/g, (_, octal) => String.fromCharCode(Number.parseInt(octal, 8))),
    );
}

/** What a system is asked about its mounted volumes. Both may throw. */
export interface Mounts {
  /** Text of /proc/mounts. */
  table(): string;
  /** Names in a folder. */
  names(folder: string): string[];
}

const THIS_SYSTEM: Mounts = {
  table: () => readFileSync("/proc/mounts", "utf8"),
  names: (folder) => readdirSync(folder),
};

const LETTERS = [..."DEFGHIJKLMNOPQRSTUVWXYZ"];

/** Folders at which a volume can be mounted on this kind of system; none where it does not tell. */
export function candidates(platform: NodeJS.Platform = process.platform, mounts = THIS_SYSTEM): string[] {
  if (platform === "win32") return LETTERS.map((letter) => `${letter}:\\`);
  try {
    if (platform === "darwin") return mounts.names("/Volumes").map((name) => `/Volumes/${name}`);
    return mountPoints(mounts.table());
  } catch {
    return [];
  }
}

/** Boards in boot mode that take the image. */
export function findVolumes(folders: readonly string[] = candidates()): BootVolume[] {
  return [...new Set(folders)].flatMap((folder) => {
    const volume = bootVolume(folder);
    return volume && takesImage(volume) ? [volume] : [];
  });
}

/** The one of them; undefined when there is none. Fails with `many-volumes`: which is meant is never guessed. */
export function onlyVolume(volumes: readonly BootVolume[]): BootVolume | undefined {
  if (volumes.length > 1)
    throw new Failure("many-volumes", { data: { volumes: volumes.map(({ folder }) => folder) } });
  return volumes[0];
}

/**
 * Copies the image. The board restarts with the last block, so the volume often vanishes before the system is done with
 * the file: what it then says is given back as text, and proves nothing either way.
 */
export function copyImage({ folder }: BootVolume, uf2: Uint8Array): string | undefined {
  try {
    const file = openSync(join(folder, IMAGE_NAME), "w");
    try {
      for (let at = 0; at < uf2.length; ) at += writeSync(file, uf2, at);
      fsyncSync(file);
    } finally {
      closeSync(file);
    }
    return undefined;
  } catch (thrown) {
    return messageOf(thrown);
  }
}
