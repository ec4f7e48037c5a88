// Files by the names that users give; what the operating system refuses becomes a failure with its cause checked.
import { closeSync, existsSync, openSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { resolve } from "node:path";
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

/** Which error a failure of the file system is. */
export function fileFailure(name: string, thrown: unknown): Failure {
  const code = CODES[systemCode(thrown)] ?? "file-failed";
  return new Failure(code, { what: `${name}: ${systemWords(thrown)}`, data: { file: name }, cause: thrown });
}

/** Bytes of a file. Fails with `no-file`, `file-permission` or `file-failed`. */
export function readBytes(io: Io, name: string): Buffer {
  try {
    return readFileSync(resolve(io.cwd, name));
  } catch (thrown) {
    throw fileFailure(name, thrown);
  }
}

/** Text of a file. Fails as `readBytes` does. */
export function readText(io: Io, name: string): string {
  return readBytes(io, name).toString("utf8");
}

/** Writes a file that is not there yet. Fails with `file-exists` and as `readText` does. */
export function writeNew(io: Io, name: string, content: string | Uint8Array): void {
  try {
    writeFileSync(resolve(io.cwd, name), content, { flag: "wx" });
  } catch (thrown) {
    throw fileFailure(name, thrown);
  }
}

/** Writes a file, over one that is there already. Fails as `readText` does. */
export function writeOver(io: Io, name: string, text: string): void {
  try {
    writeFileSync(resolve(io.cwd, name), text);
  } catch (thrown) {
    throw fileFailure(name, thrown);
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
    throw fileFailure(name, thrown);
  }
}

/** Fails as `writeNew` would, before any work is done for the file. */
export function requireNew(io: Io, name: string): void {
  if (existsSync(resolve(io.cwd, name)))
    throw new Failure("file-exists", { what: `${name} is there already` });
  requireWritable(io, name);
}
