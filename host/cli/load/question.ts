// The words of the questions before a load: what goes where, and what must be typed.
import { boardWords } from "#host/link/board-number.ts";
import type { Hello } from "#host/link/device.ts";
import type { Weakening } from "#host/settings/protection.ts";
import { localSecond } from "../local-time.ts";
import type { ToLoad } from "./loadable.ts";

/** What somebody types to load settings that protect less. */
export const WEAKEN_WORD = "weaken";

/** What a copy is called: its hash, the file that its settings came from where that is known, and when it was kept. */
export function copyWords(hash: string, { name, kept }: NonNullable<ToLoad["copy"]>): string {
  return `${hash} (${name === undefined ? "" : `${name}, `}kept ${localSecond(kept)})`;
}

/** Settings by their hash and where they come from. */
export const settingsWords = ({ file, hash, copy }: ToLoad): string =>
  `settings ${copy ? copyWords(hash, copy) : `${hash} of ${file}`}`;

/** `load my.yaml into board a1b2c3`, or `put back 1a2b3c4d (my.yaml, kept ...) into board a1b2c3`. */
function deedOf({ file, hash, copy }: ToLoad, { boardId }: Hello): string {
  return `${copy ? `put back ${copyWords(hash, copy)}` : `load ${file}`} into ${boardWords(boardId)}`;
}

/** The question of a load: for a yes, or for the word where something protects less. */
export function loadQuestion(what: ToLoad, device: Hello, weakened: readonly Weakening[]): string {
  const deed = deedOf(what, device);
  if (weakened.length === 0) return `${deed[0]!.toUpperCase()}${deed.slice(1)}?`;
  return `Type ${WEAKEN_WORD} to ${deed} with less protection`;
}
