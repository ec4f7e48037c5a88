// Folders of tests for their files: made where the system wants such, and removed when the test file is done (see leftovers.ts).
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

const made: string[] = [];

/** A new, empty folder. */
export function tempFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), "headgate-test-"));
  made.push(folder);
  return folder;
}

/** Removes all that were made since the last time. */
export function removeTempFolders(): void {
  for (const folder of made.splice(0)) rmSync(folder, { recursive: true, force: true });
}
