// Keeps the contents of a practice board's flash in a file, so that settings and runs outlive the program that serves it.
import { existsSync, readFileSync, renameSync, rmSync, writeFileSync } from "node:fs";
import { Failure } from "#host/errors/failure.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";

/** The bytes of a file that was kept; undefined when it is not there yet. Fails with `bad-flash-file`; throws what the file system throws. */
export function readFlashFile(path: string): Uint8Array | undefined {
  if (!existsSync(path)) return undefined;
  const bytes = new Uint8Array(readFileSync(path));
  if (bytes.length === FLASH.bytes) return bytes;
  throw new Failure("bad-flash-file", {
    what: `${path} has ${bytes.length} bytes; the flash of a board has ${FLASH.bytes}`,
    data: { file: path, bytes: bytes.length },
  });
}

/** Writes beside the file and then in its place, so that a broken write leaves the old contents. Throws what the file system throws. */
export function writeFlashFile(path: string, bytes: Uint8Array): void {
  const beside = `${path}.${process.pid}.new`;
  try {
    writeFileSync(beside, bytes);
    renameSync(beside, path);
  } catch (thrown) {
    rmSync(beside, { force: true });
    throw thrown;
  }
}
