// What a file is by its own first words, so that one given to the wrong command is called by its name, with the command that reads it.
import { closeSync, openSync, readSync } from "node:fs";
import { resolve } from "node:path";
import { Failure } from "#host/errors/failure.ts";
import { hasSignature } from "#host/logbook/run-file/chunk.ts";
import { shellWord } from "#host/report/terminal/shell-word.ts";
import { fileFailure } from "./files.ts";
import type { Io } from "./io.ts";

/** Kinds of files that can be told apart. */
export type FileKind = "settings" | "car" | "run" | "image" | "page" | "empty";

/** What each is called, and what to do with one. */
const KINDS: Readonly<Record<FileKind, { readonly words: string; readonly todo: (file: string) => string }>> =
  {
    settings: {
      words: "a settings file",
      todo: (file) => `\`headgate check ${file}\` checks it and \`headgate load ${file}\` loads it`,
    },
    car: {
      words: "a car file",
      todo: (file) => `\`headgate plan ${file}\` reads it, and --settings writes settings for that car`,
    },
    run: { words: "a run file", todo: (file) => `\`headgate review ${file}\` reads it` },
    image: { words: "an image for the controller", todo: () => "`headgate flash` copies one" },
    page: { words: "a page for a browser", todo: () => "open it in a browser" },
    empty: {
      words: "empty",
      todo: () =>
        "check the name; `headgate new FILE` writes settings, and docs/plan.md has a car file to begin with",
    },
  };

/** Enough for the first words of every kind; keys of a settings or car file may stand far below comments. */
const LOOKED_AT = 65_536;
/** The first four bytes of a UF2 block (Microsoft's UF2 specification, first magic number, little-endian). */
const UF2_START = "UF2\n";

function firstBytes(io: Io, name: string): Uint8Array {
  try {
    const file = openSync(resolve(io.cwd, name), "r");
    try {
      const bytes = new Uint8Array(LOOKED_AT);
      return bytes.subarray(0, readSync(file, bytes));
    } finally {
      closeSync(file);
    }
  } catch (thrown) {
    throw fileFailure(name, thrown);
  }
}

/** Text of the beginning of a file; undefined when it is not UTF-8. */
function textOf(bytes: Uint8Array): string | undefined {
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(bytes, { stream: bytes.length === LOOKED_AT });
  } catch {
    return undefined;
  }
}

/** The kind of a file by its first bytes; undefined when it is none of these for certain. */
export function kindOf(bytes: Uint8Array): FileKind | undefined {
  if (hasSignature(bytes)) return "run";
  if (Buffer.from(bytes.subarray(0, UF2_START.length)).toString("latin1") === UF2_START) return "image";
  const text = textOf(bytes);
  if (text === undefined) return undefined;
  if (/^\s*<!doctype html/i.test(text)) return "page";
  if (bytes.length < LOOKED_AT && text.split("\n").every((line) => /^\s*(?:#.*)?$/.test(line)))
    return "empty";
  const [version, goal] = [/^version\s*:/m.test(text), /^goal\s*:/m.test(text)];
  if (version === goal) return undefined;
  return version ? "settings" : "car";
}

/** Fails with `wrong-kind`, or `not-a-run-file`, when the file is for certain of another kind than the wanted one, and as reading does. */
export function requireKind(io: Io, name: string, wanted: FileKind): void {
  const kind = kindOf(firstBytes(io, name));
  if (kind === undefined || kind === wanted) return;
  const { words, todo } = KINDS[kind];
  throw new Failure(wanted === "run" ? "not-a-run-file" : "wrong-kind", {
    what: `${name} is ${words}; this command reads ${KINDS[wanted].words}`,
    todo: todo(shellWord(name)),
    data: { file: name, kind },
  });
}
