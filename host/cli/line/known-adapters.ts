// Serial numbers of adapters that led to a controller before, so that a known one is chosen among several.
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { systemWords } from "#host/errors/system-words.ts";
import { dataFolder } from "#host/settings/data-folder.ts";
import type { Session } from "../session.ts";

const fileOf = (session: Session): string => join(dataFolder(session.io.env), "adapters.json");

/** Known serial numbers; none when the list is missing or damaged. */
export function knownAdapters(session: Session): string[] {
  try {
    const list: unknown = JSON.parse(readFileSync(fileOf(session), "utf8"));
    return Array.isArray(list) ? list.filter((entry): entry is string => typeof entry === "string") : [];
  } catch {
    return [];
  }
}

/** Adds one. A folder that cannot be written only costs the memory. */
export function rememberAdapter(session: Session, serialNumber: string): void {
  const known = knownAdapters(session);
  if (known.includes(serialNumber)) return;
  try {
    mkdirSync(dataFolder(session.io.env), { recursive: true });
    writeFileSync(fileOf(session), `${JSON.stringify([...known, serialNumber])}\n`);
  } catch (thrown) {
    session.talk(`the adapter is not remembered: ${systemWords(thrown)}`);
  }
}
