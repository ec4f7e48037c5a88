// Files by the names that users give; what the operating system refuses becomes a failure with its cause checked.
import { closeSync, existsSync, openSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { dirname, resolve } from "node:path";
import type { ErrorCode } from "#host/errors/codes.ts";
import { Failure, systemCode } from "#host/errors/failure.ts";
import { systemWords } from "#host/errors/system-words.ts";
import type { Io } from "./io.ts";

const CODES: Readonly<Record<string, ErrorCode>> = {
  ENOENT: "no-file",
  ENOTDIR: "no-file",
  EISDIR: "no-file",
  EACCES: "file-permission",
  EPERM: "file-permission",
  EROFS: "file-permission",
  EEXIST: "file-exists",
};

/** Better remedies than the code's own. */
const REMEDIES: Readonly<Record<string, string>> = {
  EISDIR: "name a file within it",
  ENOTDIR: "check the path: what stands before the last slash must be a folder",
};

/** No settings or car file comes near this. */
const MOST_TEXT_BYTES = 1e6;
/** Bytes in which zeros tell that a file is no UTF-8 text. */
const LOOKED_AT = 4096;

/** Which error a failure of the file system is. */
export function fileFailure(name: string, thrown: unknown): Failure {
  const system = systemCode(thrown);
  const code = CODES[system] ?? "file-failed";
  const todo = REMEDIES[system];
  return new Failure(code, {
    what: `${name}: ${systemWords(thrown)}`,
    ...(todo === undefined ? {} : { todo }),
    data: { file: name },
    cause: thrown,
  });
}

/** Bytes of a file. Fails with `no-file`, `file-permission` or `file-failed`. */
export function readBytes(io: Io, name: string): Buffer {
  try {
    return readFileSync(resolve(io.cwd, name));
  } catch (thrown) {
    throw fileFailure(name, thrown);
  }
}

/** Text of a file of any size in UTF-8, a byte order mark left out. Fails as `readBytes` does, and with `file-encoding`. */
export const readLongText = (io: Io, name: string): string => textOf(name, readBytes(io, name));

/** Text of a file that a person writes, a settings or car file. Fails as `readLongText` does, and with `file-too-large`. */
export function readText(io: Io, name: string): string {
  const size = sizeOf(io, name);
  if (size > MOST_TEXT_BYTES) {
    const what = `${name} has ${Math.round(size / 1e6)} MB; a settings or car file has at most 1 MB`;
    throw new Failure("file-too-large", { what, data: { file: name, bytes: size } });
  }
  return readLongText(io, name);
}

function sizeOf(io: Io, name: string): number {
  try {
    return statSync(resolve(io.cwd, name)).size;
  } catch (thrown) {
    throw fileFailure(name, thrown);
  }
}

/** The bytes as text. Fails with `file-encoding`. */
function textOf(name: string, bytes: Uint8Array): string {
  const wide = wideWords(bytes);
  const refuse = (what: string): Failure =>
    new Failure("file-encoding", { what: `${name}: ${what}`, data: { file: name } });
  if (wide !== undefined) throw refuse(wide);
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(bytes);
  } catch {
    throw refuse(`line ${badLine(bytes)} holds bytes that are not UTF-8`);
  }
}

/** What a file with zero bytes is; undefined when it has none near its start. */
function wideWords(bytes: Uint8Array): string | undefined {
  const [first = 0, second = 0] = bytes;
  const marked = (first === 0xff && second === 0xfe) || (first === 0xfe && second === 0xff);
  const zero = bytes.subarray(0, LOOKED_AT).indexOf(0);
  if (marked || zero === 0 || zero === 1) return "this is UTF-16 text";
  return zero < 0 ? undefined : "this is no text but a program, an image or an archive";
}

/** Number of the first line that does not decode. */
function badLine(bytes: Uint8Array): number {
  const strict = new TextDecoder("utf-8", { fatal: true });
  for (let line = 1, from = 0; ; line++) {
    const end = bytes.indexOf(10, from);
    try {
      strict.decode(bytes.subarray(from, end < 0 ? bytes.length : end));
    } catch {
      return line;
    }
    if (end < 0) return line;
    from = end + 1;
  }
}

/** The same where a file could not be written: a folder that is missing is named. */
function writeFailure(io: Io, name: string, thrown: unknown): Failure {
  const folder = dirname(resolve(io.cwd, name));
  if (systemCode(thrown) !== "ENOENT" || existsSync(folder)) return fileFailure(name, thrown);
  const what = `${name}: there is no folder ${dirname(name)}`;
  return new Failure("no-file", {
    what,
    todo: "make the folder, or name another one",
    data: { file: name },
    cause: thrown,
  });
}

/** Writes a file that is not there yet. Fails with `file-exists` and as `readText` does. */
export function writeNew(io: Io, name: string, content: string | Uint8Array): void {
  try {
    writeFileSync(resolve(io.cwd, name), content, { flag: "wx" });
  } catch (thrown) {
    throw writeFailure(io, name, thrown);
  }
}

/** Writes a file, over one that is there already. Fails as `readText` does. */
export function writeOver(io: Io, name: string, content: string | Uint8Array): void {
  try {
    writeFileSync(resolve(io.cwd, name), content);
  } catch (thrown) {
    throw writeFailure(io, name, thrown);
  }
}

/** The first name beside a file that is free for its former text. */
export function freeName(io: Io, file: string): string {
  for (let n = 1; ; n++) {
    const name = `${file}.before${n === 1 ? "" : n}`;
    if (!existsSync(resolve(io.cwd, name))) return name;
  }
}

/** Fails as `readText` does when a file could not be written, before any work is done for it. The file stays as it is. */
export function requireWritable(io: Io, name: string): void {
  const full = resolve(io.cwd, name);
  const there = existsSync(full);
  try {
    closeSync(openSync(full, "a"));
    if (!there) rmSync(full);
  } catch (thrown) {
    throw writeFailure(io, name, thrown);
  }
}

/** The same for all outputs that were asked for. */
export function requireOutputs(io: Io, names: readonly (string | undefined)[]): void {
  for (const name of names) if (name !== undefined) requireWritable(io, name);
}

/** Fails as `writeNew` would, before any work is done for the file. */
export function requireNew(io: Io, name: string): void {
  if (existsSync(resolve(io.cwd, name)))
    throw new Failure("file-exists", { what: `${name} is there already` });
  requireWritable(io, name);
}
