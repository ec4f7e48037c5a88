// A copy of the repository in a temporary folder, to edit sources or images in: it shares the installed packages and nothing else.
import { cpSync, mkdirSync, mkdtempSync, readdirSync, symlinkSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { ROOT } from "./core-module.ts";

const COPIED = [
  "firmware",
  "host",
  "shared-schema",
  "tests",
  "package.json",
  "tsconfig.json",
  "vitest.config.ts",
];

/** Its folder; whoever asks for it removes it. */
export function copyOfRepository(): string {
  const copy = mkdtempSync(join(tmpdir(), "headgate-edited-"));
  for (const path of COPIED) cpSync(join(ROOT, path), join(copy, path), { recursive: true });
  mkdirSync(join(copy, "node_modules"));
  for (const name of readdirSync(join(ROOT, "node_modules")).filter((each) => !each.startsWith(".")))
    symlinkSync(join(ROOT, "node_modules", name), join(copy, "node_modules", name));
  return copy;
}
