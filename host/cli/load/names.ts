// By which file name settings went into a controller last, remembered by their hash, so that a list of copies can name them.
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { basename, join } from "node:path";
import { systemWords } from "#host/errors/system-words.ts";
import { dataFolder } from "#host/settings/data-folder.ts";
import type { Session } from "../session.ts";
import type { ToLoad } from "./loadable.ts";

const fileOf = ({ io }: Session): string => join(dataFolder(io.env), "names.json");

/** File names by settings hash; none when the list is missing or damaged. */
export function namesByHash(session: Session): ReadonlyMap<string, string> {
  try {
    const list: unknown = JSON.parse(readFileSync(fileOf(session), "utf8"));
    const pairs = Object.entries(list as object).filter(([, name]) => typeof name === "string");
    return new Map(pairs as [string, string][]);
  } catch {
    return new Map();
  }
}

/** Remembers the name that settings were loaded by. A folder that cannot be written only costs the memory. */
export function rememberName(session: Session, { file, hash, copy }: ToLoad): void {
  if (copy) return;
  const names = Object.fromEntries([
    ...namesByHash(session),
    [hash, basename(file).replace(/\p{Cc}+/gu, " ")],
  ]);
  try {
    mkdirSync(dataFolder(session.io.env), { recursive: true });
    writeFileSync(fileOf(session), `${JSON.stringify(names, null, 2)}\n`);
  } catch (thrown) {
    session.talk(`the name of the file is not remembered: ${systemWords(thrown)}`);
  }
}
