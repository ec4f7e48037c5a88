// The files that the image is made of, in a fixed order, and one hash over all of them.
import { readdirSync } from "node:fs";
import { join } from "node:path";
import { hashOfFiles } from "./core-sources.ts";

/** Entry file of the control core, from the top of the repository. */
export const CORE_ENTRY = "firmware/core/index.ts";
const FOLDERS: Readonly<Record<string, RegExp>> = {
  "firmware/core": /\.ts$/,
  "firmware/board": /\.(c|h|S|ld)$/,
  "firmware/wasm-runtime": /\.(c|h)$/,
  "firmware/build": /\.ts$/,
};

/** Every source file of the image, path from the top of the repository with forward slashes, sorted. */
export function sourceFiles(root: string): string[] {
  const found = Object.entries(FOLDERS).flatMap(([folder, wanted]) =>
    readdirSync(join(root, folder), { recursive: true, encoding: "utf8" })
      .filter((path) => wanted.test(path))
      .map((path) => `${folder}/${path.replaceAll("\\", "/")}`),
  );
  return found.sort();
}

/** The files to compile, from the work folder: the core first, then the board layer and the runtime in order of name. */
export function compiledFiles(root: string): string[] {
  const own = sourceFiles(root).filter((path) => /^firmware\/(board|wasm-runtime)\/.*\.[cS]$/.test(path));
  return ["core.c", ...own.map((path) => path.replace(/^firmware\//, ""))];
}

/** SHA-256, in hex, over names and contents of all source files. Line ends count as LF. */
export function hashOfSources(root: string): string {
  return hashOfFiles(root, sourceFiles(root));
}
