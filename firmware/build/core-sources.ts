// What the control core's module is made of: its sources, how they are compiled and by which compiler, as one hash.
import { createHash } from "node:crypto";
import { readdirSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { CORE_DATA_ADDRESS } from "#shared-schema/model/blocks.ts";

/** Changes to the options of the compiler change the module too. */
const COMPILATION = "firmware/build/core.ts";
const CORE = "firmware/core";

/** Paths from the top of the repository, with forward slashes, sorted. */
function coreFiles(root: string): string[] {
  const sources = readdirSync(join(root, CORE), { recursive: true, encoding: "utf8" })
    .filter((path) => path.endsWith(".ts"))
    .map((path) => `${CORE}/${path.replaceAll("\\", "/")}`);
  return [COMPILATION, ...sources.sort()];
}

/** Version of an installed package. */
export function versionOf(name: string): string {
  const path = createRequire(import.meta.url).resolve(`${name}/package.json`);
  return (JSON.parse(readFileSync(path, "utf8")) as { version: string }).version;
}

/** SHA-256, in hex, over names and contents of `files` (paths from `root`). Line ends count as LF. */
export function hashOfFiles(root: string, files: readonly string[], start = ""): string {
  const hash = createHash("sha256").update(start);
  for (const path of files) {
    const text = readFileSync(join(root, path), "utf8").replaceAll("\r\n", "\n");
    hash.update(`${path}\n${text.length}\n${text}`);
  }
  return hash.digest("hex");
}

/** SHA-256, in hex, of all that decides what core.wasm holds. */
export function hashOfCore(root: string): string {
  const start = `assemblyscript ${versionOf("assemblyscript")}, data at ${CORE_DATA_ADDRESS}\n`;
  return hashOfFiles(root, coreFiles(root), start);
}
