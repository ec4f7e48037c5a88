// Finds boards in boot mode among the mounted volumes, by the text file that the UF2 specification requires on each, not by their names.
import { closeSync, fsyncSync, openSync, readdirSync, readFileSync, writeSync } from "node:fs";
import { join } from "node:path";
import { Failure } from "#host/errors/failure.ts";
import { systemWords } from "#host/errors/system-words.ts";

/** Contents of INFO_UF2.TXT on a boot volume (Microsoft UF2 specification). */
export interface BootVolume {
  readonly folder: string;
  readonly model: string;
  readonly boardId: string;
}

const INFO = "INFO_UF2.TXT";
/** Board name that the boot ROM of an RP2040 reports (datasheet, section on USB mass storage). */
const BOARD = "RPI-RP2";
/** File name of the copied image; the boot ROM accepts any. */
const IMAGE_NAME = "headgate.uf2";

/** Parses the text. Undefined when it is not from a UF2 boot loader. */
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

/** Reads the description of a volume. Undefined when the folder is not a UF2 volume. */
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

/** Mount points from the text of /proc/mounts, where spaces are octal escapes (proc(5)). */
export function mountPoints(mounts: string): string[] {
  return mounts
    .split("\n")
    .map((line) => line.split(" ")[1] ?? "")
    .filter((folder) => folder !== "")
    .map((folder) =>
      folder.replace(/\\([0-7]{3})/g, (_, octal) => String.fromCharCode(Number.parseInt(octal, 8))),
    );
}

/** How the system is asked about its mounted volumes. Both calls may throw. */
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

/** Folders where volumes can be mounted on this kind of system; none when the system does not say. */
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

/** The only one of them; undefined when there is none. Fails with `many-volumes` rather than guess. */
export function onlyVolume(volumes: readonly BootVolume[]): BootVolume | undefined {
  if (volumes.length > 1)
    throw new Failure("many-volumes", { data: { volumes: volumes.map(({ folder }) => folder) } });
  return volumes[0];
}

/**
 * Copies the image. The board restarts with the last block, so the volume often disappears before the system has finished
 * with the file. The error is then returned as text, and proves nothing either way.
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
    return systemWords(thrown);
  }
}
