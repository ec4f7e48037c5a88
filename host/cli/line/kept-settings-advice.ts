// What to do about settings of another image that are found stored on a controller: they are never guessed at, but a copy may be kept.
import type { Hello } from "#host/link/device.ts";
import { listCopies } from "#host/settings/copies.ts";
import { dataFolder } from "#host/settings/data-folder.ts";
import type { Session } from "../session.ts";

/** A sentence of advice; none unless the controller found settings of another image and has none in force. */
export function keptSettingsAdvice(session: Session, device: Hello): string[] {
  if (device.slot !== "none" || device.slotNote !== "wrongSchema") return [];
  const kept = listCopies(dataFolder(session.io.env), device.boardId).at(-1);
  const how = kept
    ? `headgate undo migrates the newest copy of this board (${kept.date}) and loads it`
    : "load a settings file; a file of an older version is migrated";
  return [`the controller keeps settings of another image but will not use them; nothing can flow: ${how}`];
}
